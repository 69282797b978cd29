"""Ways of laying side by side: what is ticked is laid, what is said of a way is what it comes to when it is taken.

In: the built site. Judged from outside: counts on a card against the layout file of the plan with that way taken; which
ways are beaten, worked out again here from the counts on the cards.
"""

import json
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
COURTYARD = ROOT / "demo-data" / "05-courtyard.json"
COUNTS = ["Rolls", "Waste", "Laps", "Days", "Gang-days", "Haul", "Findings"]


def panel(roof):
    roof.stage("days")
    if not roof.page.get_by_test_id("compare").is_visible():
        if not roof.page.get_by_role("tab", name="Compare ways").is_visible():
            roof.page.locator("[data-ledger=bays]").click()
        roof.page.get_by_role("tab", name="Compare ways").click()
    roof.page.get_by_test_id("compare").wait_for()
    roof.page.get_by_test_id("compare-begin").wait_for()


def tick(roof, heading, names):
    """Ticks these values of an aspect and no other."""
    group = roof.page.get_by_role("group", name=heading, exact=True)
    for box in group.get_by_role("checkbox").all():
        label = box.locator("xpath=..").inner_text().strip()
        box.set_checked(label in names)


def wait_over(page):
    page.wait_for_function(
        "() => /ways compared/.test(document.querySelector('[data-testid=compare-state]')?.textContent ?? '')"
    )


def cards(page):
    """Every card: its number, name, counts, and whether it is among the beaten."""
    found = {}
    for beaten in [False, True]:
        listed = page.get_by_test_id("compare-beaten" if beaten else "compare-best")
        for card in listed.locator("li").all():
            counts = {}
            for cell in card.locator("dl > div").all():
                name, value = cell.locator("dt").text_content(), cell.locator("dd").text_content()
                counts[name] = float(re.match(r"-?[\d  ]+(\.\d+)?", value.strip()).group().replace(" ", "").replace(" ", ""))
            number = int(card.get_attribute("data-testid").split("-")[1])
            found[number] = {"name": card.locator("h3").text_content(), "counts": counts, "beaten": beaten,
                             "whole": "short search" not in card.text_content()}
    return found


def beats(one, two):
    pairs = [(one["counts"][c], two["counts"][c]) for c in COUNTS]
    return all(a <= b for a, b in pairs) and any(a < b for a, b in pairs)


@pytest.mark.parametrize("width, height, touch", [(1440, 900, False), (390, 844, True)])
def test_ways_are_held_against_each_other_and_one_is_taken(open_roof, width, height, touch):
    roof = open_roof(width=width, height=height, touch=touch)
    page = roof.page
    panel(roof)
    tick(roof, "Runs", ["cut to length", "run on"])
    tick(roof, "Gangs", ["1", "2"])
    said = page.get_by_test_id("compare-count").inner_text()
    ways = int(re.match(r"\d+", said).group())
    assert ways % 4 == 0, "two ways of making runs and two numbers of gangs, with whatever else is ticked"
    before = roof.plan()
    page.get_by_test_id("compare-begin").click()
    wait_over(page)
    found = cards(page)
    assert len(found) == ways + 1
    assert found[0]["name"].startswith("As it stands") and found[0]["whole"]
    for card in found.values():
        assert card["beaten"] == any(beats(other, card) for other in found.values()), card
        assert card["beaten"] or card["whole"], "what is proposed was searched to its end"
    assert page.evaluate("document.documentElement.scrollWidth") <= width, "nothing runs out of the page"

    best = next(n for n, c in found.items() if not c["beaten"] and n > 0)
    page.get_by_test_id(f"way-{best}").get_by_role("button").click()
    roof.wait_laid()
    layout, plan = roof.layout(), roof.plan()
    counts, days = found[best]["counts"], layout["days"]
    totals = layout["totals"]
    assert counts["Rolls"] == totals["rolls"]
    assert counts["Days"] == days["score"]["days"]
    assert counts["Gang-days"] == sum(len({t["gang"] for t in day["turns"]}) for day in days["days"])
    assert counts["Waste"] == pytest.approx((totals["roll_area"] - totals["field_area"]) / 1e6, abs=0.5001)
    ends = sum(p["across"][1] - p["across"][0] for p in layout["pieces"] if p["lap_to"] > 0)
    assert counts["Laps"] == pytest.approx((totals["side_lap_length"] + ends) / 1e3, abs=0.5001)
    assert counts["Haul"] == pytest.approx(days["score"]["haul"] / 1e6, abs=0.05001)
    assert counts["Findings"] == sum(f["severity"] != "note" for f in layout["findings"])
    assert counts["Cost"] == pytest.approx((totals["cost"] + days["score"]["cost"]) / 100, abs=0.0051)
    assert plan["decks"] == before["decks"], "what is drawn stays"
    assert page.get_by_test_id(f"way-{best}").get_attribute("aria-current") == "true"

    # The way that stood can be had back, from the list or by one undo.
    page.keyboard.press("Control+z")
    roof.wait_laid()
    assert roof.plan() == before
    assert page.get_by_test_id("way-0").get_attribute("aria-current") == "true"


def test_a_comparison_is_stopped_and_what_was_found_stays(open_roof, tmp_path):
    roof = open_roof()
    roof.open_plan(json.loads(COURTYARD.read_text(encoding="utf-8"))["plan"], tmp_path)
    page = roof.page
    panel(roof)
    tick(roof, "Only the melter", [])
    tick(roof, "First course on the", ["right", "left"])
    page.get_by_test_id("compare-begin").click()
    page.get_by_test_id("way-0").wait_for(state="attached")
    page.get_by_test_id("compare-stop").click()
    page.get_by_test_id("compare-stop").wait_for(state="detached")
    state = page.get_by_test_id("compare-state").inner_text()
    assert "Stopped before the end" in state, state
    assert len(cards(page)) >= 1
    assert page.get_by_test_id("compare-begin").is_enabled()


def test_too_many_or_no_ticks_are_told(open_roof):
    roof = open_roof()
    page = roof.page
    panel(roof)
    for box in page.get_by_test_id("compare").get_by_role("checkbox").all():
        box.set_checked(True)
    words = page.get_by_test_id("compare-count")
    assert "more than 24" in words.inner_text()
    assert page.get_by_test_id("compare-begin").is_disabled()
    for box in page.get_by_test_id("compare").get_by_role("checkbox").all():
        box.set_checked(False)
    assert "Nothing is ticked" in words.inner_text()
    assert page.get_by_test_id("compare-begin").is_disabled()


def test_a_changed_plan_is_told_and_nothing_is_taken_from_the_old_one(open_roof):
    roof = open_roof()
    page = roof.page
    panel(roof)
    tick(roof, "Runs", ["cut to length", "run on"])
    page.get_by_test_id("compare-begin").click()
    wait_over(page)
    page.get_by_test_id("compare-changed").wait_for(state="detached")
    roof.stage("rolls")
    field = page.locator("[data-field='products.side_lap']")
    field.fill("100")
    field.press("Enter")
    roof.wait_laid()
    page.get_by_test_id("compare-changed").wait_for()
    for button in page.get_by_test_id("compare-best").get_by_role("button").all():
        assert button.is_disabled()


@pytest.mark.parametrize("scheme", ["light", "dark", "sun"])
def test_words_stand_out(open_roof, scheme):
    roof = open_roof()
    page = roof.page
    page.evaluate("scheme => document.documentElement.dataset.scheme = scheme", scheme)
    panel(roof)
    page.get_by_test_id("compare-begin").click()
    wait_over(page)
    faint = [c for c in roof.contrasts("[data-testid=compare]") if c[1] < 4.5]
    assert not faint, faint
