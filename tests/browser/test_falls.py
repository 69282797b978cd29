"""Falls on the page: levels from a list, what water does then, outlets and bay edges moved out of its way.

Judged from outside: levels are worked out here from what was pasted, areas by shapely, places read from the files that
the page hands out.
"""

import pytest
from bowl import LOW, OUTLINE, as_csv, deck, drag, grid, open_list, paste, read, spots, take, with_levels
from shapely.geometry import Point, Polygon
from shapely.ops import unary_union


def polygons(regions):
    return unary_union([Polygon(r[0], r[1:]) for r in regions])


def test_levels_pasted_show_a_pond_that_an_outlet_moved_into_it_drains(bowl):
    roof = bowl()
    page = roof.page
    assert "No surface yet" in page.get_by_test_id("falls").inner_text()
    open_list(roof)
    paste(roof, as_csv(grid()))
    assert read(roof).startswith(f"{len(grid())} levels from 0.000 m to ")
    take(roof)
    assert spots(roof.plan()) == sorted(grid())

    # Water stands about the low point: one pond, its deepest place there, arrows on the drawing.
    wet = roof.layout()
    (pond,) = wet["falls"]["ponds"]
    assert pond["deepest"] == list(LOW)
    assert polygons(pond["area"]).contains(Point(LOW))
    assert page.get_by_test_id("pond-1").is_visible()
    assert page.get_by_test_id("ponds").locator("li").count() == 1
    assert page.locator("g.signs .fall-arrow").count() > 0, "fall arrows"
    by_verdict = page.get_by_test_id("verdicts").inner_text()
    in_pond = {v["verdict"]: v for v in wet["falls"]["lengths"]}.get("in_pond")
    assert in_pond and in_pond["bay_edges"] + in_pond["side_laps"] > 0, "so large a pond cannot be kept clear"

    # Shown: selected, with its figures.
    page.get_by_test_id("pond-1").get_by_role("button").click()
    assert page.get_by_test_id("selected-title").inner_text() == "Pond 1"
    assert page.locator(".mark.selected").count() >= 1

    # The outlet is dragged to the low point.
    page.get_by_role("button", name="Show the whole plan").click()
    roof.tool("select")
    roof.click(1_000, 1_000)
    drag(roof, (1_000, 1_000), LOW)
    plan = roof.plan()
    x, y = plan["outlets"][0]["at"]
    assert abs(x - LOW[0]) < 60 and abs(y - LOW[1]) < 60
    dry = roof.layout()
    assert [p for p in dry["falls"]["ponds"] if p["depth_um"] > 5_000] == []
    assert page.get_by_test_id("pond-1").count() == 0 or len(dry["falls"]["ponds"]) > 0
    assert page.get_by_test_id("verdicts").inner_text() != by_verdict, "edges and laps are judged anew"
    catchment = dry["falls"]["outlets"][0]["size"]
    assert catchment + dry["falls"]["over_edges"] + dry["falls"]["trapped"] == 12_000 * 8_000

    # One step for the drag, one for the list.
    undo = page.get_by_role("button", name="Undo", exact=True)
    undo.click()
    undo.click()
    roof.wait_laid()
    assert roof.plan()["levels"]["spots"] == []
    page.get_by_role("button", name="Redo", exact=True).click()
    roof.wait_laid()
    assert spots(roof.plan()) == sorted(grid())


@pytest.mark.parametrize(
    "text",
    [
        "\n".join(f"{x / 1000:.3f}\t{y / 1000:.3f}\t{z / 1000:.3f}".replace(".", ",") for x, y, z in grid()),
        "\n".join(["N (mm);E (mm);RL (m)"] + [f"{y};{x};{z / 1000:.3f}".replace(".", ",") for x, y, z in grid()]),
        "\n".join(f"P{n}  {x / 1000}  {y / 1000}  {z / 1000:.4f} deck edge" for n, (x, y, z) in enumerate(grid())),
    ],
    ids=["spreadsheet", "semicolons, north first", "spaces"],
)
def test_lists_as_they_come(bowl, text):
    roof = bowl()
    open_list(roof)
    paste(roof, text)
    take(roof)
    assert spots(roof.plan()) == sorted(grid())


def test_a_file_with_bad_rows_says_which_and_loses_nothing(bowl, tmp_path):
    roof = bowl(deck(levels={"spots": [{"id": 9, "at": [500, 500], "level": 70}]}))
    page = roof.page
    good = as_csv(grid()).splitlines()
    bad = good[:3] + ["98,5.000,2O.000,0.100,X", "99,5.000,2.500,,X"] + good[3:]
    path = tmp_path / "levels.csv"
    path.write_bytes(b"\xef\xbb\xbf" + "\r\n".join(bad).encode())
    open_list(roof)
    page.locator("#levels-file").set_input_files(path)
    problems = page.get_by_test_id("levels-problems")
    problems.wait_for()
    words = problems.inner_text()
    assert 'Row 4: the northing "2O.000" is not a number' in words
    assert "Row 5 has no level" in words
    assert "2 rows left out" in read(roof)

    # Closed and opened again, the text is still there; mended in the box, it reads.
    page.keyboard.press("Escape")
    open_list(roof)
    box = page.locator("#levels-text")
    kept = box.input_value()
    assert "2O.000" in kept
    box.fill(kept.replace("2O.000", "5.000"))
    assert "1 row left out" in read(roof)
    page.locator("#levels-replace").check()
    assert page.get_by_test_id("levels-apply").inner_text() == f"Replace with {len(grid()) + 1} levels"
    take(roof)
    assert spots(roof.plan()) == sorted(grid() + [(5_000, 5_000, 100)])


def test_feet_and_inches_are_refused_in_one_sentence(bowl):
    roof = bowl()
    open_list(roof)
    paste(roof, "1\t12'-6\"\t3' 4 1/2\"\t0'-1\"\n2\t13'\t4'\t0'-2\"")
    refusal = roof.page.get_by_test_id("levels-refusal").inner_text()
    assert "is in feet or inches" in refusal and refusal.count(".") == 1
    assert roof.page.get_by_test_id("levels-apply").is_disabled()


def test_a_national_grid_lies_on_the_deck_and_columns_can_be_changed(bowl):
    roof = bowl()
    page = roof.page
    open_list(roof)
    paste(roof, "\n".join(f"{412_000 + x / 1000:.3f},{5_934_000 + y / 1000:.3f},{z / 1000:.3f}" for x, y, z in grid()))
    assert page.locator("#levels-put").input_value() == "deck"
    page.get_by_label("Column 1 holds").select_option("Leave out")
    assert "No column is easting yet" in page.get_by_test_id("levels-refusal").inner_text()
    page.get_by_label("Column 1 holds").select_option("Easting")
    # The same by hand: an origin taken off.
    page.locator("#levels-put").select_option("less")
    for name, value in [("Taken off eastings", "412000"), ("Taken off northings", "5934000")]:
        page.get_by_label(name).fill(value)
        page.get_by_label(name).press("Tab")
    take(roof)
    assert spots(roof.plan()) == sorted(grid())


def test_the_list_by_keyboard_alone(bowl):
    roof = bowl()
    page = roof.page
    page.locator("#board").focus()
    page.keyboard.press("Alt+l")
    page.keyboard.insert_text(as_csv(grid()))
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.dataset.testid") == "levels-apply":
            break
    page.keyboard.press("Enter")
    roof.wait_laid()
    assert spots(roof.plan()) == sorted(grid())


@pytest.mark.parametrize("width,height,touch", [(390, 844, True), (1440, 900, False)])
def test_the_list_fits_the_screen(bowl, width, height, touch):
    roof = bowl(width=width, height=height, touch=touch)
    page = roof.page
    dialog = open_list(roof)
    paste(roof, as_csv(grid()) + "\n77,1.5,1.5,9.9,X")
    box = dialog.bounding_box()
    assert box["x"] >= 0 and box["x"] + box["width"] <= width
    assert page.evaluate("document.querySelector('dialog.levels').scrollWidth <= document.querySelector('dialog.levels').clientWidth + 1")
    if touch:
        small = page.evaluate(
            """() => [...document.querySelectorAll('dialog.levels :is(button, select, .button, .check, .choice label)')]
                .map(e => [e.textContent.slice(0, 20), e.getBoundingClientRect().height]).filter(([, h]) => h < 42)"""
        )
        assert small == []
    page.get_by_test_id("levels-apply").scroll_into_view_if_needed()
    assert page.get_by_test_id("levels-apply").is_visible()


def test_a_plane_of_fall_is_drawn_and_judged_by_the_rule_chosen(bowl):
    drip = [{"at": p} for p in OUTLINE]
    drip[0]["edge"] = {"free": {"kind": "drip"}}
    roof = bowl({"decks": [{"id": 1, "ring": drip}]})
    page = roof.page
    roof.tool("plane")
    page.keyboard.type("0,2")
    roof.click(1_500, 4_500)
    page.keyboard.press("Enter")
    roof.move(1_500, 2_000)
    page.keyboard.type("270")
    page.keyboard.press("Tab")
    page.keyboard.type("60")
    page.keyboard.press("Enter")
    roof.wait_laid()
    (plane,) = roof.plan()["levels"]["planes"]
    assert (plane["level"], plane["direction_mdeg"], plane["one_in"]) == (200, 270_000, 60)
    # 1:60 lies between 1:80 and 1:40, and is more than 1:100: BS 6229:2018 and AS 4654.2:2012 as reported.
    layout = roof.layout()["falls"]
    assert layout["class_areas"][3] == 12_000 * 8_000
    roof.choose("drainage.rule", "as4654")
    layout = roof.layout()["falls"]
    assert layout["class_areas"][4] == 12_000 * 8_000
    row = page.locator("[data-testid=classes] [data-class=good] td").first
    assert row.inner_text() == "96.0"


def test_a_bad_bay_edge_is_moved_where_it_lies_well(bowl):
    """A bay edge held through an outlet: one button takes it to the place that the engine names, in one step."""
    plan = with_levels(bay_edges=[{"id": 9, "at": list(LOW), "along": False}])
    plan["outlets"][0]["at"] = list(LOW)
    roof = bowl(plan)
    edges = [s for s in roof.layout()["seams"] if s["kind"] == "bay_edge"]
    bad = [p for s in edges for p in s["parts"] if p["better"] is not None]
    assert any(p["verdict"] == "at_outlet" for p in bad)
    panel = roof.page.get_by_test_id("bad-edges")
    assert panel.locator("li").count() == len(bad)
    before = roof.plan()
    panel.get_by_role("button", name="Move it there").first.click()
    roof.wait_laid()
    (edge,) = roof.plan()["bay_edges"]
    assert edge["id"] == 9, "what held it where it was is moved, and nothing is added"
    assert edge["at"] in [p["better"]["at"] for p in bad]
    parts = [p for s in roof.layout()["seams"] if s["kind"] == "bay_edge" for p in s["parts"]]
    assert len([p for p in parts if p["verdict"] == "at_outlet"]) < len([p for p in bad if p["verdict"] == "at_outlet"])
    roof.page.get_by_role("button", name="Undo", exact=True).click()
    roof.wait_laid()
    assert roof.plan() == before
