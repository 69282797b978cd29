"""Dates of the days, counted on the calendar day by day.

In: a plan and the days of its layout. Out: what is wrong with their dates, the last date, and ties to dates. Must hold: days of the
week that are not worked, holidays and days lost have no day of the programme; days for weather are so many in a hundred, rounded
up, and come at the end. Python's own `datetime` counts.
"""

from __future__ import annotations

import datetime

from days_order import Broken

USUAL = {"start": None, "week": [True] * 5 + [False] * 2, "holidays": [], "lost": [], "weather": 0}


def of_plan(plan):
    """The calendar of a plan, with what is left out."""
    return USUAL | (plan.get("programme") or {}).get("calendar", {})


def is_worked(calendar, date):
    off = {*calendar["holidays"], *calendar["lost"]}
    return calendar["week"][date.weekday()] and date.isoformat() not in off


def dates(calendar, count):
    """The first so many dates that are worked; none without a first date or a day of the week."""
    if calendar["start"] is None or not any(calendar["week"]):
        return []
    date, found = datetime.date.fromisoformat(calendar["start"]), []
    while len(found) < count:
        if is_worked(calendar, date):
            found.append(date.isoformat())
        date += datetime.timedelta(days=1)
    return found


def number_of(calendar, text):
    """The number of the working day that a date is, from 1; None when it is none."""
    if calendar["start"] is None or not any(calendar["week"]):
        return None
    date, start = datetime.date.fromisoformat(text), datetime.date.fromisoformat(calendar["start"])
    if date < start or not is_worked(calendar, date):
        return None
    return sum(is_worked(calendar, start + datetime.timedelta(days=k)) for k in range((date - start).days + 1))


def judge(plan, days):
    """Each day's date, and the last with the days allowed for weather."""
    calendar, broken = of_plan(plan), []
    last = max((day["number"] for day in days["days"]), default=0)
    allowed = -(-last * calendar["weather"] // 100)
    wanted = dates(calendar, last + allowed)
    for day in days["days"]:
        date = wanted[day["number"] - 1] if wanted else None
        if day["date"] != date:
            broken.append(Broken("calendar", f"day {day['number']} is dated {day['date']}, it is {date}", day["number"]))
    finish = wanted[-1] if wanted else None
    if days["finish"] != finish:
        broken.append(Broken("calendar", f"the work is said to end on {days['finish']}, with {allowed} days for weather it is {finish}", "finish"))
    return broken
