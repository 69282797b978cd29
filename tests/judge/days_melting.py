"""The melters of each day, run through again in small steps.

In: a plan and its layout with days. Out: what of the melters' figures is not so. Must hold: a melter is lit at the start of the day,
empty; when it has started up it melts evenly while there is room; a bay draws evenly while it is poured and carried, and while its
details are done where the gang does them; what others do ahead is drawn evenly through the day. It steps by a fifth of a minute and
so knows litres and minutes only nearly. Where the plan leaves out how fast a melter melts nothing is judged.
"""

from __future__ import annotations

from days_order import Broken
from days_work import HOT

STEP = 0.2
#: Litres may depart by their rounding and by the steps.
LITRES, MINUTES = 2.0, 1.5


def judge(plan, layout):
    """Every melter of every day."""
    programme, days = plan.get("programme") or {}, layout["days"]
    rates = programme.get("rates", {})
    if any(rates.get(name) is None for name in ("melt_start", "melt_rate", "melter_litres")):
        return []
    by_gang, holds = programme.get("details", "gang") == "gang", {m["id"]: m.get("litres") for m in plan.get("melters", [])}
    work, broken = {w["bay"]: w for w in days["bays"]}, []
    for day in days["days"]:
        draws = drawn_from(plan, rates, work, day, by_gang)
        stated = {m["melter"]: m for m in day["melters"]}
        if stated.keys() != draws.keys():
            broken.append(Broken("melters", f"day {day['number']}: melters {sorted(stated)} are drawn from, found {sorted(draws)}", day["number"]))
            continue
        for melter, own in draws.items():
            room = holds.get(melter) or rates["melter_litres"]
            broken += compared(f"day {day['number']}, melter {melter}", stated[melter], through(own, rates, room))
    return broken


def drawn_from(plan, rates, work, day, by_gang):
    """Melter -> what is drawn: (from, to, litres hot)."""
    found: dict = {}
    for turn in day["turns"]:
        w = work[turn["bay"]]
        took, own = w["minutes"][turn["gang"] - 1], found.setdefault(w["melters"][turn["gang"] - 1], [])
        details = turn["from"] + took["prime"]
        pour, end = details + took["details"], turn["to"] - took["protect"]
        own.append((pour, max(end, pour + 1), w["millilitres"] * HOT / 1000))
        if by_gang and w["details_millilitres"]:
            own.append((details, max(pour, details + 1), w["details_millilitres"] * HOT / 1000))
    for bay in day.get("details_of", []) if not by_gang else []:
        start, end = rates["melt_start"], plan["gang"]["day_minutes"]
        found.setdefault(work[bay]["melters"][0], []).append((start, max(end, start + 1), work[bay]["details_millilitres"] * HOT / 1000))
    return found


def through(draws, rates, room):
    """A melter through a day: litres drawn and melted, when it first runs short, its level by step."""
    level, melted, short, end = 0.0, 0.0, None, max(to for _, to, _ in draws)
    levels = [0.0]
    for step in range(round(end / STEP)):
        at = (step + 0.5) * STEP
        melts = rates["melt_rate"] / 60 * STEP if at > rates["melt_start"] else 0.0
        taken = sum(litres / (to - start) * STEP for start, to, litres in draws if start < at < to)
        after = level + melts - taken
        if after < -1e-6:
            short, after = (at if short is None else short), 0.0
            melted += melts
        elif after > room:
            melted += room - level + taken
            after = room
        else:
            melted += melts
        level = after
        levels.append(level)
    return sum(litres for _, _, litres in draws), melted, short, levels


def compared(name, stated, found):
    """A melter's figures as stated and as found."""
    drawn, melted, short, levels = found
    broken = []
    for what, got, wanted in (("drawn", stated["drawn"], drawn), ("melted", stated["melted"], melted)):
        if abs(got - wanted) > LITRES + 0.001 * wanted:
            broken.append(Broken("melters", f"{name}: {got} litres {what}, found {wanted:.1f}", what, abs(got - wanted)))
    if (stated["short_at"] is None) != (short is None) or short is not None and abs(stated["short_at"] - short) > MINUTES:
        broken.append(Broken("melters", f"{name}: said to run short at {stated['short_at']}, found {short}", "short_at"))
    for minute, litres in stated["level"]:
        near = levels[max(0, round((minute - 1) / STEP)) : round((minute + 1) / STEP) + 1] or levels[-1:]
        if not min(near) - LITRES <= litres <= max(near) + LITRES:
            broken.append(Broken("melters", f"{name}: {litres} litres at minute {minute}, found {levels[min(len(levels) - 1, round(minute / STEP))]:.1f}", "level"))
            break
    return broken
