"""The days on the screen: the table, the strip, the bar that plays, one day in full, ties, days lost, the melter moved.

In: the built site. Out: what the screen says held against the layout file that the page hands out; whether that layout is
the right one is judged elsewhere. Sizes of what is tapped are the browser's own boxes (24 px: WCAG 2.2, 2.5.8).
"""

import datetime
import json
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SIZES = pytest.mark.parametrize("width, height, touch", [(1440, 900, False), (390, 844, True)])
PATIENCE = 180_000
START = "2026-11-30"


def demo(name):
    return json.loads((ROOT / "demo-data" / name).read_text(encoding="utf-8"))["plan"]


def courtyard():
    """The roof round the courtyard with two gangs from two melters, from a Monday."""
    plan = demo("05-courtyard.json")
    west, east = (melter["id"] for melter in plan["melters"])
    plan["programme"]["gangs"] = [
        {"id": 901, "name": "West", "people": 6, "melter": west},
        {"id": 902, "name": "East", "people": 5, "melter": east},
    ]
    plan["programme"]["calendar"]["start"] = START
    plan["programme"]["rates"]["day_start"] = 450
    return plan


def days_of(layout):
    return layout["days"]["days"]


def day_of(layout, place):
    """The number of the day on which the bay at a place is laid: its label is the place."""
    number = next(bay["number"] for bay in layout["bays"] if bay["label"] == place)
    return next(day for day in days_of(layout) if any(turn["bay"] == number for turn in day["turns"]))


def by_day(roof):
    """The strip, opened as a person opens it."""
    roof.stage("days")
    if roof.page.viewport_size["width"] <= 760:
        roof.page.get_by_role("button", name="Inputs").tap()
    roof.page.get_by_test_id("day-by-day").click()
    roof.page.get_by_test_id("strip").wait_for()


def block(roof, bay):
    return roof.page.locator(f"#block-{bay}")


def sticks_out(page):
    return page.evaluate("document.documentElement.scrollWidth > window.innerWidth")


@SIZES
def test_days_are_listed_with_their_bays(open_roof, width, height, touch):
    roof = open_roof(width=width, height=height, touch=touch)
    roof.stage("days")
    page = roof.page
    page.get_by_test_id("days").wait_for(state="attached")
    said = page.get_by_test_id("days-sum").text_content()
    days, bays = map(int, re.match(r"(\d+) days, (\d+) bays", said).groups())
    rows = page.get_by_test_id("days").locator("tbody tr")
    assert rows.count() == days
    listed = [
        int(re.match(r"\d+", text).group())
        for text in page.get_by_test_id("days").locator("tbody .day-bays button").all_text_contents()
    ]
    assert listed == list(range(1, bays + 1)), "every bay once, in the order they are poured"
    assert bays == roof.ledger("bays")
    assert "examples" in page.get_by_test_id("days-examples").text_content(), "rates that nobody gave are named"


def test_a_bay_and_a_day_are_selected_from_the_table(open_roof):
    roof = open_roof()
    roof.stage("days")
    page = roof.page
    button = page.get_by_test_id("days").locator("tbody .day-bays button").nth(1)
    button.click()
    assert button.get_attribute("aria-pressed") == "true"
    assert "Bay 2" in page.get_by_test_id("selected-title").inner_text()
    page.get_by_test_id("days").locator("tbody th button").first.click()
    assert page.get_by_test_id("selected-title").inner_text() == "Day 1"
    day = days_of(roof.layout())[0]
    assert page.locator(".mark.selected").count() >= len(day["turns"]), "all its bays are outlined"


def test_each_example_leads_to_its_field(open_roof):
    roof = open_roof()
    page = roof.page
    roof.stage("days")
    named = roof.layout()["days"]["examples"]
    page.get_by_test_id("days-examples").locator("summary").click()
    buttons = page.locator("[data-example]")
    assert [b.get_attribute("data-example") for b in buttons.all()] == named
    for path in named:
        page.locator(f"[data-example='{path}']").click()
        page.wait_for_function("path => document.activeElement.dataset.field === path", arg=path)
    page.locator("[data-field='detailing.joint_girth']").fill("400")
    page.locator("[data-field='detailing.joint_girth']").press("Enter")
    roof.wait_laid()
    assert roof.plan()["detailing"]["joint_girth"] == 400
    assert "detailing.joint_girth" not in roof.layout()["days"]["examples"]


@SIZES
def test_the_strip_and_the_drawing_light_one_another(open_roof, width, height, touch):
    roof = open_roof(width=width, height=height, touch=touch)
    by_day(roof)
    page = roof.page
    layout = roof.layout()
    days = days_of(layout)
    assert page.locator(".strip-day").count() == len(days)
    assert page.locator(".block").count() == len(layout["bays"])
    for day in days:
        lane = page.locator(f".lane.day[data-day='{day['number']}'] .block")
        assert [int(n) for n in lane.evaluate_all("all => all.map(b => b.dataset.bay)")] == [t["bay"] for t in day["turns"]]
    third = block(roof, 3)
    third.click()
    assert third.get_attribute("aria-pressed") == "true"
    assert page.get_by_test_id("selected-title").text_content() == "Bay 3"
    if not touch:
        block(roof, 2).hover()
        assert page.locator(".mark.hovered").count() >= 1, "the bay under the pointer is lit on the drawing"
        label = layout["bays"][3]["label"]
        page.get_by_role("button", name="Show the whole plan").click()
        roof.move(label[0] + 300, label[1] + 150)
        page.wait_for_function("() => document.querySelector('#block-4').dataset.lit !== undefined")
    assert not sticks_out(page)


def test_keys_go_from_block_to_block(open_roof):
    roof = open_roof()
    by_day(roof)
    page = roof.page
    block(roof, 1).focus()
    assert page.locator(".block[tabindex='0']").count() == 1, "the strip is one stop of the Tab key"
    page.keyboard.press("ArrowRight")
    assert page.evaluate("document.activeElement.id") == "block-2"
    page.keyboard.press("End")
    last = len(roof_blocks(page))
    assert page.evaluate("document.activeElement.id") == f"block-{last}"
    page.keyboard.press("Home")
    page.keyboard.press("PageDown")
    second = int(page.locator(".lane.day[data-day='2'] .block").first.get_attribute("data-bay"))
    assert page.evaluate("document.activeElement.id") == f"block-{second}"
    page.keyboard.press("Enter")
    assert page.get_by_test_id("selected-title").inner_text() == f"Bay {second}"


def roof_blocks(page):
    return page.locator(".block").all()


@SIZES
def test_the_job_is_played_by_day_and_by_bay(open_roof, width, height, touch):
    roof = open_roof(width=width, height=height, touch=touch)
    by_day(roof)
    page = roof.page
    days = days_of(roof.layout())
    on, back = page.get_by_role("button", name="Step on"), page.get_by_role("button", name="Step back")
    on.click()
    on.click()
    assert page.get_by_test_id("play-words").inner_text().startswith(f"Day 2 of {len(days)}")
    states = dict(page.locator(".played-bay").evaluate_all("all => all.map(p => [p.dataset.bay, p.dataset.played])"))
    for day in days:
        word = "before" if day["number"] < 2 else "now" if day["number"] == 2 else "to-come"
        assert all(states[str(turn["bay"])] == word for turn in day["turns"])
        assert all(block(roof, turn["bay"]).get_attribute("data-played") == word for turn in day["turns"])
    key = page.get_by_test_id("played-key").inner_text()
    assert "Laid before" in key and "Laid this day" in key, "words beside the hatches"
    back.click()
    page.get_by_text("By bay", exact=True).click()
    on.click()
    on.click()
    assert re.search(r"bay 2 begun \d+:\d\d h after the start of work", page.get_by_test_id("play-words").inner_text())
    slider = page.get_by_role("slider", name="Moment of the job")
    slider.focus()
    page.keyboard.press("End")
    assert f"Day {len(days)} of" in slider.get_attribute("aria-valuetext")
    page.get_by_text("By day", exact=True).click()
    page.get_by_test_id("play").get_by_role("button", name="Plan as it is").click()
    assert page.locator(".played-bay").count() == 0
    page.get_by_role("button", name="Play", exact=True).click()
    page.wait_for_function("() => document.querySelector('[data-testid=play-words]').textContent.startsWith('Day 2')")
    page.get_by_role("button", name="Pause").click()
    held = page.get_by_test_id("play-words").inner_text()
    page.wait_for_timeout(2_000)
    assert page.get_by_test_id("play-words").inner_text() == held, "it stands while it pauses"
    assert not sticks_out(page)


def test_a_day_in_full_is_that_of_the_layout(open_roof, tmp_path):
    roof = open_roof()
    plan = demo("02-l-shape.json")
    plan["programme"]["calendar"]["start"] = START
    plan["programme"]["rates"]["day_start"] = 450
    roof.open_plan(plan, tmp_path)
    by_day(roof)
    page = roof.page
    layout = roof.layout()
    day = days_of(layout)[1]
    page.locator("[data-day-head='2']").click()
    shown = page.get_by_test_id("day-details")
    assert shown.locator("h3").inner_text() == f"Day 2, Tue {day['date']}"
    hours = lambda m: f"{m // 60}:{m % 60:02}"
    clock = lambda m: f"{(450 + m) // 60:02}:{(450 + m) % 60:02}"
    rows = shown.locator("tbody tr")
    assert rows.count() == len(day["turns"])
    for row, turn in zip(rows.all(), day["turns"]):
        words = row.inner_text()
        assert f"{hours(turn['from'])} to {hours(turn['to'])}" in words
        assert f"{clock(turn['from'])} to {clock(turn['to'])}" in words
    takes = page.get_by_test_id("day-materials").inner_text().replace("\n", " ")
    materials = day["materials"]
    for figure in [f"{materials['membrane_kg']} kg", f"{materials['primer_litres']} l", f"Blocks to melt {materials['blocks']}"]:
        assert figure in takes, takes
    melter = page.get_by_test_id("day-melters").inner_text()
    assert all(f"{m['drawn']} l drawn, {m['melted']} l melted" in melter for m in day["melters"])
    joints = page.get_by_test_id("day-joints").locator("li").count() if day["joints"] else 0
    assert joints == len(day["joints"])


def test_a_bay_is_dragged_to_another_day_and_let_go_again(open_roof):
    roof = open_roof()
    by_day(roof)
    page = roof.page
    before = roof.layout()
    assert len(days_of(before)) > 2
    first = days_of(before)[0]["turns"][0]["bay"]
    place = next(bay["label"] for bay in before["bays"] if bay["number"] == first)
    last = days_of(before)[-1]["number"]
    block(roof, first).scroll_into_view_if_needed()
    a = block(roof, first).bounding_box()
    page.mouse.move(a["x"] + a["width"] / 2, a["y"] + a["height"] / 2)
    page.mouse.down()
    lane = page.locator(".lane.day[data-day='2']")
    b = lane.bounding_box()
    page.mouse.move(b["x"] + b["width"] / 2, b["y"] + b["height"] / 2, steps=6)
    assert "target" in lane.get_attribute("class")
    page.mouse.up()
    roof.wait_laid()
    (tie,) = roof.plan()["programme"]["ties"]
    assert (tie["at"], tie["day"]) == (place, 2)
    assert day_of(roof.layout(), place)["number"] == 2
    bay = page.get_by_test_id("selected-title").inner_text()
    number = next(b["number"] for b in roof.layout()["bays"] if b["label"] == place)
    assert bay == f"Bay {number}", "what is selected is still that place of the roof"
    assert "tied" in block(roof, number).get_attribute("class")
    page.get_by_role("button", name=f"Untie bay {number}").click()
    roof.wait_laid()
    assert roof.plan()["programme"]["ties"] == []
    assert roof.layout() == before, "as it was before"
    assert last >= 2


def test_a_bay_is_sent_to_another_day_by_keys_and_keeps_the_focus(open_roof):
    roof = open_roof()
    by_day(roof)
    page = roof.page
    before = roof.layout()
    first = days_of(before)[0]["turns"][0]["bay"]
    place = next(bay["label"] for bay in before["bays"] if bay["number"] == first)
    block(roof, first).focus()
    page.keyboard.press("Shift+ArrowRight")
    roof.wait_laid()
    page.wait_for_function("() => document.activeElement.closest('.lane.day')?.dataset.day === '2'")
    focused = int(page.evaluate("document.activeElement.dataset.bay"))
    after = roof.layout()
    assert day_of(after, place)["number"] == 2
    assert focused == next(bay["number"] for bay in after["bays"] if bay["label"] == place)


def test_a_bay_is_tied_by_a_finger_and_the_day_lost(open_roof, tmp_path):
    roof = open_roof(width=390, height=844, touch=True)
    plan = demo("02-l-shape.json")
    plan["programme"]["calendar"]["start"] = START
    roof.open_plan(plan, tmp_path)
    by_day(roof)
    page = roof.page
    before = roof.layout()
    first = days_of(before)[0]["turns"][0]["bay"]
    place = next(bay["label"] for bay in before["bays"] if bay["number"] == first)
    block(roof, first).tap()
    page.locator(f"#tie-bay-{first}").select_option("2")
    roof.wait_laid()
    date = days_of(before)[1]["date"]
    (tie,) = roof.plan()["programme"]["ties"]
    assert (tie["at"], tie["date"]) == (place, date)
    # The day it is tied to is lost: the tie stays, and what it cannot keep is told beside the strip.
    page.locator(".shut-drawer").tap()
    page.get_by_role("button", name="Inputs").tap()
    page.get_by_role("button", name=f"Day lost: {date}").tap()
    roof.wait_laid()
    assert roof.plan()["programme"]["ties"] == [tie]
    page.get_by_test_id("day-by-day").tap()
    page.get_by_test_id("tie-findings").wait_for(state="attached")
    assert f"tied to {date}, which is not worked" in page.get_by_test_id("tie-findings").text_content()
    lost = page.locator(f"[data-lost='{date}']")
    lost.tap()
    roof.wait_laid()
    assert roof.plan()["programme"]["calendar"]["lost"] == []
    assert not sticks_out(page)


def finger(page):
    """A finger on the screen, as the browser itself gives it: it scrolls where the page lets it."""
    session = page.context.new_cdp_session(page)

    def touch(kind, *at):
        points = [{"x": at[0], "y": at[1]}] if at else []
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def slide(a, b, let_go=True):
        touch("touchStart", *a)
        for n in range(1, 13):
            touch("touchMove", a[0] + (b[0] - a[0]) * n / 12, a[1] + (b[1] - a[1]) * n / 12)
            page.wait_for_timeout(16)
        if let_go:
            touch("touchEnd")
        return lambda: touch("touchEnd")

    return slide


def middle(locator):
    box = locator.bounding_box()
    return [box["x"] + box["width"] / 2, box["y"] + box["height"] / 2]


def test_a_block_is_dragged_by_a_finger_once_it_is_tapped(open_roof):
    roof = open_roof(width=390, height=844, touch=True)
    by_day(roof)
    page = roof.page
    before = roof.layout()
    first = days_of(before)[0]["turns"][0]["bay"]
    place = next(bay["label"] for bay in before["bays"] if bay["number"] == first)
    own = block(roof, first)
    own.scroll_into_view_if_needed()
    box = own.bounding_box()
    assert box["width"] >= 24 and box["height"] >= 24
    slide = finger(page)
    strip = page.get_by_test_id("strip")
    at = lambda: strip.evaluate("s => s.scrollLeft")

    # A block that was not tapped lets the strip be moved along under it.
    a = middle(own)
    slide(a, [a[0] - 60, a[1]])
    page.wait_for_timeout(300)
    assert at() > 20, "the strip was moved along"
    assert roof.plan()["programme"]["ties"] == [], "and nothing was tied"
    strip.evaluate("s => s.scrollLeft = 0")

    own.tap()
    assert own.get_attribute("aria-pressed") == "true"
    own.scroll_into_view_if_needed()
    strip.evaluate("s => s.scrollLeft = 0")
    lane = page.locator(".lane.day[data-day='2']")
    a, b = middle(own), lane.bounding_box()
    over = [min(b["x"] + 24, 380), b["y"] + b["height"] / 2]
    assert b["x"] < 366, "the second day is in sight beside the first"

    # Let go off the strip: nothing is tied.
    slide(a, [a[0], a[1] - 200])
    assert page.locator(".block.dragged").count() == 0
    assert roof.plan()["programme"]["ties"] == []

    # Left by Escape while it is held.
    end = slide(a, over, let_go=False)
    page.wait_for_function("() => document.querySelector('.lane.day.target')?.dataset.day === '2'")
    own.focus()
    page.keyboard.press("Escape")
    end()
    assert roof.plan()["programme"]["ties"] == []

    strip.evaluate("s => s.scrollLeft = 0")
    slide(middle(own), over)
    roof.wait_laid()
    (tie,) = roof.plan()["programme"]["ties"]
    assert (tie["at"], tie["day"]) == (place, 2)
    assert day_of(roof.layout(), place)["number"] == 2


def test_a_tie_that_cannot_be_kept_is_told_beside_the_strip(open_roof):
    """Every bay of the job on its first day: no day is that long."""
    roof = open_roof()
    by_day(roof)
    page = roof.page
    places = [bay["label"] for bay in roof.layout()["bays"]]
    for place in places:
        layout = roof.layout()
        if day_of(layout, place)["number"] == 1:
            continue
        number = next(bay["number"] for bay in layout["bays"] if bay["label"] == place)
        block(roof, number).click()
        page.locator(f"#tie-bay-{number}").select_option("1")
        roof.wait_laid()
        # A lap that faces the water is told before that, as a warning.
        told = page.get_by_test_id("tie-findings")
        if told.count() and "Error" in told.inner_text():
            break
    assert re.search(r"Error\n.*[Bb]ay \d+", told.inner_text())
    assert page.locator(".block.wrong").count() >= 1, "and marked in the strip"


def test_gangs_come_go_and_choose_their_melter(open_roof, tmp_path):
    roof = open_roof()
    roof.open_plan(demo("02-l-shape.json"), tmp_path)
    page = roof.page
    roof.stage("days")
    add = page.get_by_test_id("gangs").get_by_role("button", name="Add a gang")
    for _ in range(3):
        add.click()
    for n, name in enumerate(["East", "North", "West"]):
        box = page.locator(f"[data-field='programme.gangs[{n}].name']")
        box.fill(name)
        box.press("Enter")
    page.get_by_test_id("gangs").get_by_role("button", name="Remove gang 2").click()
    roof.wait_laid()
    assert [g["name"] for g in roof.plan()["programme"]["gangs"]] == ["East", "West"]
    melters = roof.plan()["melters"]
    choice = page.locator("[data-field='programme.gangs[1].melter']")
    words = choice.locator("option").all_inner_texts()
    assert words[0] == "The nearest to each bay" and len(words) == len(melters) + 1
    for melter in melters:
        choice.select_option(str(melter["id"]))
        roof.wait_laid()
        assert roof.plan()["programme"]["gangs"][1]["melter"] == melter["id"]


def test_the_courtyard_with_two_gangs(open_roof, tmp_path):
    """Two gangs, a day lost, a bay tied, the melter moved; each told by the plan and the layout that the page hands out."""
    roof = open_roof()
    page = roof.page
    page.set_default_timeout(PATIENCE)
    roof.open_plan(courtyard(), tmp_path)
    by_day(roof)
    layout = roof.layout()
    assert {turn["gang"] for day in days_of(layout) for turn in day["turns"]} == {1, 2}
    assert page.locator(".strip-gang").all_inner_texts()[1:] == ["Gang 1, West", "Gang 2, East"]

    # A day lost moves every day behind it and none before it.
    dates = [day["date"] for day in days_of(layout)]
    page.get_by_role("button", name=f"Day lost: {dates[1]}").click()
    roof.wait_laid()
    after = [day["date"] for day in days_of(roof.layout())]
    assert after[0] == dates[0] and after[1] > dates[1]
    assert page.locator(f"[data-lost='{dates[1]}']").count() == 1
    assert all(datetime.date.fromisoformat(d).weekday() < 5 for d in after)

    # A bay of the last day is tied to the third, by its list.
    layout = roof.layout()
    turn = days_of(layout)[-1]["turns"][-1]
    place = next(bay["label"] for bay in layout["bays"] if bay["number"] == turn["bay"])
    block(roof, turn["bay"]).click()
    page.locator(f"#tie-bay-{turn['bay']}").select_option("3")
    roof.wait_laid()
    (tie,) = roof.plan()["programme"]["ties"]
    assert (tie["at"], tie["date"]) == (place, days_of(layout)[2]["date"]), "tied to the date, which stays when days are lost"
    assert day_of(roof.layout(), place)["number"] == 3

    # The melter moves by its fields, and the hauls with it.
    haul = roof.layout()["days"]["score"]["haul"]
    page.locator(".thing", has_text="Melter 1, on the ground").click()
    melter = roof.plan()["melters"][0]["id"]
    box = page.locator(f"[data-field='thing/{melter}/corner/0/x']")
    box.fill("-30.000")
    box.press("Enter")
    roof.wait_laid()
    assert roof.plan()["melters"][0]["at"][0] == -30_000
    assert roof.layout()["days"]["score"]["haul"] != haul

    # Played day by day to its end, every bay is laid once.
    days = days_of(roof.layout())
    seen = set()
    for day in days:
        page.get_by_role("button", name="Step on").click()
        now = page.locator(".played-bay.now").evaluate_all("all => all.map(p => Number(p.dataset.bay))")
        assert sorted(now) == sorted(turn["bay"] for turn in day["turns"])
        assert not seen & set(now)
        seen |= set(now)
    assert len(seen) == roof.ledger("bays")


def test_a_melter_is_dragged_on_the_plan(open_roof, tmp_path):
    roof = open_roof()
    roof.open_plan(demo("02-l-shape.json"), tmp_path)
    page = roof.page
    roof.stage("days")
    melter = roof.plan()["melters"][0]
    page.get_by_role("button", name="Show the whole plan").click()
    page.get_by_role("button", name="Further away").click()
    x, y = melter["at"]
    roof.click(x, y)
    page.mouse.move(*roof.px(x, y))
    # With Alt nothing is snapped to. The board may get another size while the ledger is worked out: aim twice.
    page.keyboard.down("Alt")
    page.mouse.down()
    page.mouse.move(*roof.px(x - 2_000, y + 1_500), steps=5)
    roof.wait_laid()
    page.mouse.move(*roof.px(x - 2_000, y + 1_500), steps=2)
    page.mouse.up()
    page.keyboard.up("Alt")
    roof.wait_laid()
    moved = roof.plan()["melters"][0]["at"]
    assert abs(moved[0] - x + 2_000) < 300 and abs(moved[1] - y - 1_500) < 300, moved


def test_a_selected_bay_is_dragged_on_the_plan_to_the_day_of_another(open_roof):
    roof = open_roof()
    page = roof.page
    roof.stage("days")
    before = roof.layout()
    page.get_by_role("button", name="Show the whole plan").click()
    place = {bay["number"]: bay["label"] for bay in before["bays"]}
    first, later = days_of(before)[0]["turns"][0]["bay"], days_of(before)[1]["turns"][0]["bay"]
    # Beside the middle: a low line runs along that.
    grip = [place[first][0] + 2_500, place[first][1] + 700]
    roof.click(*grip)
    assert page.get_by_test_id("selected-title").inner_text() == f"Bay {first}"
    page.mouse.move(*roof.px(*grip))
    page.mouse.down()
    page.mouse.move(*roof.px(*place[later]), steps=5)
    said = page.locator("text.size.live").text_content()
    assert said == f"Bay {first}: day 2", "what letting go would do"
    page.mouse.up()
    roof.wait_laid()
    (tie,) = roof.plan()["programme"]["ties"]
    assert (tie["at"], tie["day"], tie["turn"]) == (place[first], 2, None)
    assert day_of(roof.layout(), place[first])["number"] == 2
    page.get_by_role("button", name="Undo").first.click()
    roof.wait_laid()
    assert roof.layout() == before, "one step takes it back"


def test_the_way_off_is_drawn_and_told_while_the_job_is_played(open_roof):
    roof = open_roof()
    by_day(roof)
    page = roof.page
    layout, ways = roof.layout(), roof.plan()["ways"]
    assert ways, "the job has a way off"
    page.get_by_text("By bay", exact=True).click()
    on = page.get_by_role("button", name="Step on")
    for turn in days_of(layout)[0]["turns"]:
        on.click()
        words = page.get_by_test_id("played-key").inner_text()
        told = re.search(rf"Way off bay {turn['bay']}: (straight off the roof|over bays? ([\d, ]+))", words)
        assert told, words
        over = [int(n) for n in (told.group(2) or "").split(",") if n.strip()]
        begun = {t["bay"] for t in days_of(layout)[0]["turns"] if t["from"] < turn["to"]}
        assert not set(over) & begun, "over no bay that is laid by then"
        beside = {bay["number"]: bay["beside"] for bay in layout["bays"]}
        assert all(b in beside[a] for a, b in zip([turn["bay"], *over], over)), "from bay to bay that touch"
        line = page.locator(f"[data-way-off='{turn['bay']}']").get_attribute("d")
        end = [int(n) for n in re.findall(r"-?\d+", line)[-2:]]
        assert [end[0], -end[1]] in [way["at"] for way in ways], "it ends at a way off"
    page.get_by_test_id("play").get_by_role("button", name="Plan as it is").click()
    assert page.locator(".played-way").count() == 0


def test_the_board_keeps_its_size_while_a_better_layout_is_looked_for(open_roof, tmp_path):
    """What is dragged would jump under the pointer if the ledger grew by what it says of the search."""
    roof = open_roof()
    roof.open_plan(demo("02-l-shape.json"), tmp_path)
    roof.page.evaluate(
        """() => { const seen = window.heights = new Set(); const board = document.querySelector('#board');
            const look = () => { seen.add(board.getBoundingClientRect().height); requestAnimationFrame(look); }; look(); }"""
    )
    roof.stage("days")
    roof.page.locator("[data-field='gang.people']").fill("7")
    roof.page.locator("[data-field='gang.people']").press("Enter")
    roof.wait_laid()
    assert roof.page.evaluate("window.heights.size") == 1


@SIZES
def test_what_is_tapped_is_large_enough_and_has_a_name(open_roof, width, height, touch):
    roof = open_roof(width=width, height=height, touch=touch)
    by_day(roof)
    page = roof.page
    page.get_by_role("button", name="Step on").click()
    small = page.evaluate(
        """() => [...document.querySelectorAll('.day-by-day :is(button, select, input)')]
            .filter(e => e.checkVisibility() && !(e.type === 'radio'))
            .map(e => [e.outerHTML.slice(0, 80), e.getBoundingClientRect()])
            .filter(([, b]) => b.width < 24 || b.height < 24).map(([name, b]) => [name, b.width, b.height])"""
    )
    assert small == []
    nameless = page.evaluate(
        """() => [...document.querySelectorAll('.day-by-day :is(button, select, input)')].filter(e => e.checkVisibility())
            .filter(e => !(e.getAttribute('aria-label') || e.textContent.trim() || e.labels?.length)).map(e => e.outerHTML)"""
    )
    assert nameless == []
    assert not sticks_out(page)


@pytest.mark.parametrize("scheme", ["light", "dark", "sun"])
def test_words_of_the_days_can_be_read_in_every_scheme(open_roof, scheme):
    """WCAG 2.2, 1.4.3: text against its ground at least 4.5 to 1."""
    roof = open_roof()
    roof.page.evaluate("name => document.documentElement.setAttribute('data-scheme', name)", scheme)
    by_day(roof)
    roof.page.get_by_role("button", name="Step on").click()
    roof.page.locator("[data-day-head='1']").click()
    ratios = roof.contrasts(".drawer") + roof.contrasts(".inputs")
    assert len(ratios) > 60
    assert [r for r in ratios if r[1] < 4.5] == []


# On paper --------------------------------------------------------------------


def test_the_day_sheets_hold_every_day(open_roof):
    """The PDF's days, bays and kilos against the layout file of the page."""
    roof = open_roof()
    days = roof.layout()["days"]
    roof.stage("sheets")
    name, pages, _ = roof.pdf("Day sheets, PDF")
    assert name.endswith(".pdf") and "days" in name
    text = "\n".join(pages)
    for day in days["days"]:
        assert re.search(rf"Day {day['number']}\b", text), day["number"]
        if day["materials"]["membrane_kg"]:
            assert f"{day['materials']['membrane_kg']} kg" in text
    assert text.count(" or more:") == len(days["bays"]), "a line to fill in for each bay"
    assert "Hot work" in text and "maker's data sheet" in text.replace("\u2019", "'")
