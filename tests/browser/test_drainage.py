"""What the page says of falls and water, beside what it hands out: panel, sheet, picture and lists agree with the layout.

Judged from outside: the sheet is read back from its files, sums are formed here, ways of water and sections are those of
a deck known in closed form.
"""

import json
import math
import re
from pathlib import Path

import pytest
from bowl import LOW, as_csv, deck, drag, grid, level_at, open_list, paste, take, with_levels
from drainage_sheet import VERDICTS, Saved

ROOT = Path(__file__).resolve().parents[2]
#: Falls of 1 in so many that a rule set is shown with.
ONE_IN = {12_500: "1:80", 25_000: "1:40"}


def near(said, true, unit):
    """Whether a figure as written stands for a true one, written to whole `unit`s."""
    return abs(float(said) - true) <= unit / 2 + 1e-9


def place(words):
    return [int(n) for n in words.split(" / ")]


def names_of_sinks(plan):
    """Where water goes, as the layout, the sheet and the lists say it."""

    def on_sheet(sink):
        if sink == "nowhere":
            return "nowhere"
        if "outlet" in sink:
            return f"O{sink['outlet']}"
        deck = next((d for d in plan["decks"] if d["id"] == sink["edge"]), {})
        return f"over a free edge of {deck['name']}" if deck.get("name") else "over a free edge"

    def in_list(sink):
        if sink == "nowhere":
            return "nowhere"
        return f"outlet {sink['outlet']}" if "outlet" in sink else f"free edge of {sink['edge']}"

    return on_sheet, in_list


def agrees(saved, plan, falls, seams):
    """The sheet, its picture and its lists say what the layout says."""
    on_sheet, in_list = names_of_sinks(plan)
    pdf, picture = saved.pdf, saved.picture

    # The rule set with its edition, and what was put in and assumed.
    rule = falls["rule"]
    assert pdf.rule() == (rule["name"], ONE_IN[rule["least_ppm"]], ONE_IN[rule["design_ppm"]])
    assert rule["source"] in pdf.flat
    assert f"Judged by {rule['name']}: least" in picture.flat
    put_in, assumed = pdf.put_in()
    given = falls["input"]
    for count, what in [(given["spots"], "spot level"), (given["line_points"], "point"), (given["planes"], "fall plane")]:
        assert (f"{count} {what}" in put_in) == (count > 0)
    for count in (given["between"], given["beyond"]):
        assert count == 0 or str(count) in assumed.replace(",", "").split()
    assert given["between"] + given["beyond"] or assumed == "Assumed: no level of any corner"
    assert put_in in picture.flat and assumed in picture.flat

    # Classes: areas, and their sum is the deck.
    *classes, whole = pdf.classes()
    assert all(near(said, true / 1e6, 0.01) for said, true in zip(classes, falls["class_areas"], strict=True))
    assert near(whole, sum(falls["class_areas"]) / 1e6, 0.01)

    # Ponds: the same on the sheet, in the list, and, by number and depth, on the picture.
    assert set(pdf.ponds()) == {int(r["pond"]) for r in saved.ponds} == {p["number"] for p in falls["ponds"]}
    listed = {int(r["pond"]): r for r in saved.ponds}
    for pond in falls["ponds"]:
        depth, area, litres, kilos, level, deepest, spill, goes_to = pdf.ponds()[pond["number"]]
        assert near(depth, pond["depth_um"] / 1000, 1) and near(level, pond["level_um"] / 1000, 1)
        assert near(area, pond["size"] / 1e6, 0.01) and near(litres, pond["volume"] / 1e6, 0.1)
        assert near(kilos, pond["volume"] / 1e6, 0.02), "1 kg to the litre"
        row = listed[pond["number"]]
        assert float(row["depth_mm"]) == pond["depth_um"] / 1000 and float(row["level_mm"]) == pond["level_um"] / 1000
        assert [int(row["area_mm2"]), int(row["volume_mm3"])] == [pond["size"], pond["volume"]]
        assert [int(row["deepest_x_mm"]), int(row["deepest_y_mm"])] == pond["deepest"]
        assert goes_to == on_sheet(pond["drains_to"]) and row["goes_to"] == in_list(pond["drains_to"])
        if plan.get("datum") is None:
            assert place(deepest) == pond["deepest"]
            assert pond["spill"] is None if spill == "no way out" else place(spill) == pond["spill"]
        assert f"Pond {pond['number']}, {depth} deep" in picture.texts
    if not falls["ponds"]:
        assert "No water stands on the surface as put in." in pdf.flat

    # Outlets: catchments, flows and what each takes.
    assert set(pdf.outlets()) == {f"O{o['id']}" for o in falls["outlets"]}
    assert [int(r["outlet_id"]) for r in saved.outlets] == [o["id"] for o in falls["outlets"]]
    for outlet, row in zip(falls["outlets"], saved.outlets, strict=True):
        size, flow, most = pdf.outlets()[f"O{outlet['id']}"]
        assert near(size, outlet["size"] / 1e6, 0.01) and int(row["catchment_mm2"]) == outlet["size"]
        for said, cell, true in [(flow, "flow_l_s", outlet["flow"]), (most, "capacity_l_s", outlet["capacity"])]:
            assert (said is None) == (true is None) == (row[cell] == "")
            assert true is None or near(said, true / 1000, 0.01) and float(row[cell]) == true / 1000
        blocked = outlet["blocked"]
        if blocked:
            depth, area, goes_to = pdf.blocked()[f"O{outlet['id']}"]
            assert near(depth, blocked["depth_um"] / 1000, 1) and near(area, blocked["size"] / 1e6, 0.01)
            assert goes_to == on_sheet(blocked["goes_to"]) and row["blocked_goes_to"] == in_list(blocked["goes_to"])
            assert int(row["blocked_area_mm2"]) == blocked["size"]

    # Verdicts: lengths on the sheet are the layout's, and those of the list add up to them.
    assert set(pdf.lengths()) == {v["verdict"] for v in falls["lengths"]}
    kinds = {"bay edge": "bay_edges", "side lap": "side_laps", "end lap": "end_laps"}
    for length in falls["lengths"]:
        for (what, kind), said in zip(kinds.items(), pdf.lengths()[length["verdict"]], strict=True):
            assert near(said, length[kind] / 1000, 0.001)
            of = [r for r in saved.seams if r["what"] == what and r["verdict"] == VERDICTS[length["verdict"]]]
            assert abs(sum(int(r["length_mm"]) for r in of) - length[kind]) <= len(of), "each to the nearest mm"
    parts = [p for s in seams for p in s["parts"]]
    assert len(saved.seams) == len(parts)
    better = [p["better"]["at"] for p in parts if p["better"]]
    cells = [r for r in saved.seams if r["better_distance_mm"]]
    assert sorted([int(r["better_x_mm"]), int(r["better_y_mm"])] for r in cells) == sorted(better)

    # True to size, inside the paper, black and white, and none of the pages empty.
    assert pdf.size == [420, 297] and picture.size == ["420mm", "297mm"]
    assert all(0 < x < 420 and 0 < y < 297 for x, y in picture.places)
    assert picture.inks == {"#000", "#fff"}
    title = len("Whole numbers are millimetres; three decimals are metres")
    assert all(len(p) > 4 * title for p in pdf.pages), [len(p) for p in pdf.pages]


def shown(roof):
    """What the panel of falls says: lengths by verdict, m; ponds; words on each outlet."""
    roof.stage("falls")
    page = roof.page
    verdicts = {}
    for row in page.get_by_test_id("verdicts").locator("tbody tr").all():
        verdicts[row.get_attribute("data-verdict")] = [float(c) for c in row.locator("td").all_inner_texts()]
    ponds = page.get_by_test_id("ponds").locator("li").all_inner_texts()
    outlets = page.get_by_test_id("outlets").locator("li").all_inner_texts()
    return verdicts, ponds, outlets


def panel_agrees(roof, falls):
    verdicts, ponds, outlets = shown(roof)
    kinds = ["bay_edges", "side_laps", "end_laps"]
    assert set(verdicts) == {v["verdict"] for v in falls["lengths"]}
    for length in falls["lengths"]:
        for said, kind in zip(verdicts[length["verdict"]], kinds, strict=True):
            assert near(said, length[kind] / 1000, 0.1)
    assert len(ponds) == len(falls["ponds"]) and len(outlets) == len(falls["outlets"])
    for pond, words in zip(falls["ponds"], ponds, strict=True):
        assert f"{pond['size'] / 1e6:.1f} m²" in words and f"Pond {pond['number']}" in words
    for outlet, words in zip(falls["outlets"], outlets, strict=True):
        assert f"{outlet['size'] / 1e6:.1f} m² of deck" in words
    return verdicts


def test_levels_pasted_to_a_sheet_read_back(bowl):
    """Levels pasted, arrows and a pond seen, an outlet moved into it, the pond gone, edges judged anew; the drainage
    sheet, its picture and its lists are saved before and after, and say what was shown."""
    roof = bowl(deck(drainage={"rain": 750}))
    page = roof.page
    open_list(roof)
    paste(roof, as_csv(grid()))
    take(roof)
    wet, plan = roof.layout(), roof.plan()
    assert len(wet["falls"]["ponds"]) == 1
    assert page.locator("g.signs .fall-arrow").count() > 0 and page.locator("path.pond").count() > 0
    before = panel_agrees(roof, wet["falls"])
    saved = Saved(roof)
    agrees(saved, plan, wet["falls"], wet["seams"])
    endings = ["drainage-a3.pdf", "drainage-a3.svg", "ponds.csv", "outlets.csv", "edges-and-laps.csv"]
    assert [n.split("-", 1)[1] for n in saved.names] == endings

    roof.stage("falls")
    roof.tool("select")
    roof.click(1_000, 1_000)
    drag(roof, (1_000, 1_000), LOW)
    dry = roof.layout()
    assert [p for p in dry["falls"]["ponds"] if p["depth_um"] > 5_000] == []
    after = panel_agrees(roof, dry["falls"])
    assert after != before and sum(after.get("in_pond", [0])) < sum(before["in_pond"])
    agrees(Saved(roof), roof.plan(), dry["falls"], dry["seams"])


def test_a_sheet_with_rain_openings_and_assumed_levels_is_read_back(open_roof, tmp_path):
    """An invented job whose low line, ridges and outlets are given, and whose corners are not."""
    roof = open_roof()
    file = json.loads((ROOT / "demo-data" / "02-l-shape.json").read_text(encoding="utf-8"))
    plan = file["plan"] | {"drainage": {"rain": 750}}
    for outlet in plan["outlets"]:
        outlet["intake"] = {"mouth": {"round": {"diameter": 100}}}
    roof.open_plan(plan, tmp_path)
    layout = roof.layout()
    falls = layout["falls"]
    assert falls["input"]["between"] + falls["input"]["beyond"] > 0
    assert all(o["flow"] is not None and o["capacity"] is not None for o in falls["outlets"])
    panel_agrees(roof, falls)
    agrees(Saved(roof), roof.plan(), falls, layout["seams"])


def test_without_levels_the_drainage_sheet_says_what_is_missing(bowl):
    roof = bowl()
    roof.stage("sheets")
    panel = roof.page.get_by_test_id("for-designer")
    assert panel.get_by_role("button").count() == 1, "lists of nothing are not offered"
    panel.get_by_role("button", name="Drainage sheet, PDF").click()
    said = roof.page.get_by_test_id("say")
    said.wait_for()
    assert "No levels are known" in said.inner_text() and "give levels" in said.inner_text()


# Layers ---------------------------------------------------------------------

#: What each switch draws, by the classes of the drawing.
DRAWN = {
    "arrows": ["fall-arrow"],
    "classes": ["fall-tint", "fall-hatch"],
    "contours": ["contour"],
    "levels": ["level"],
    "lines": ["low-line", "ridge"],
    "ponds": ["pond", "pond-hatch"],
    "catchments": ["catchment"],
    "outlets": ["outlet-flow"],
    "seams": ["faces-water", "along-low", "in-pond", "at-outlet"],
}


def all_drawn():
    """A plan on which every layer has something to draw: a pond, bay edges in it, and a corner with an outlet of its own."""
    plan = with_levels()
    plan["outlets"].append({"id": 3, "at": [11_000, 7_000], "bowl": 200, "clear_zone": 500})
    plan["outlets"][0]["at"] = [300, 300]
    (corner,) = [s for s in plan["levels"]["spots"] if s["at"] == [0, 0]]
    corner["level"] = 60
    return plan


def drawn(roof):
    """What is drawn of each layer: its lines and signs, and how many texts."""
    return roof.page.evaluate(
        """layers => Object.fromEntries(Object.entries(layers).map(([layer, classes]) => {
            const of = kind => classes.flatMap(c => [...document.querySelectorAll(`g.plan ${kind}.${c}`)]);
            const lines = of('path').map(p => p.getAttribute('d')).concat(of('g').map(g => g.getAttribute('style')));
            return [layer, {lines: lines.sort().join(' '), texts: of('text').length}];
        }))""",
        DRAWN,
    )


@pytest.mark.parametrize("width,height,touch", [(390, 844, True), (1440, 900, False)])
def test_each_layer_is_switched_by_itself_and_comes_back(bowl, width, height, touch):
    roof = bowl(all_drawn(), width=width, height=height, touch=touch)
    page = roof.page
    if touch:
        page.get_by_role("button", name="Inputs").click()
    layers = page.get_by_test_id("layers")
    layers.locator("summary").click()
    boxes = layers.locator("input")
    assert [b.get_attribute("data-layer") for b in boxes.all()] == [
        "arrows", "classes", "contours", "levels", "lines", "ponds", "catchments", "outlets", "seams",
    ]
    box = layers.bounding_box()
    assert box["x"] >= 0 and box["x"] + box["width"] <= width and box["y"] + box["height"] <= height
    if touch:
        assert all(line.bounding_box()["height"] >= 44 for line in layers.locator("label").all())
    everything = drawn(roof)
    # On a phone arrows and the figures of outlets find no room beside the rest.
    room = {"arrows", "outlets"} if touch else set()
    assert all(on["lines"] or on["texts"] for layer, on in everything.items() if layer not in room), everything
    for layer in DRAWN:
        label = layers.locator("label", has=page.locator(f"[data-layer={layer}]"))
        label.tap() if touch else label.click()
        without = drawn(roof)
        assert without[layer] == {"lines": "", "texts": 0}, f"{layer} is still drawn"
        for other in DRAWN:
            # Texts take the room that others leave: their number may change, lines and signs may not.
            if other not in (layer, "arrows"):
                assert without[other]["lines"] == everything[other]["lines"], f"{other} changed with {layer}"
        label.tap() if touch else label.click()
        assert drawn(roof) == everything, layer


def test_layers_stay_switched_between_stages_and_are_all_on_at_the_next_visit(bowl):
    roof = bowl(all_drawn())
    page = roof.page
    layers = page.get_by_test_id("layers")
    layers.locator("summary").click()
    layers.locator("[data-layer=ponds]").focus()
    page.keyboard.press("Space")
    assert page.locator("path.pond").count() == 0
    roof.stage("deck")
    assert layers.count() == 0, "no falls are drawn there"
    roof.stage("falls")
    assert page.locator("path.pond").count() == 0
    roof.wait_saved()
    page.reload()
    roof.wait_laid()
    roof.stage("falls")
    assert page.locator("path.pond").count() > 0, "no pond stays out of sight because of a switch set earlier"
    layers.locator("summary").click()
    assert all(b.is_checked() for b in layers.locator("input").all())


# Looks ----------------------------------------------------------------------


def tool(roof, name, touch):
    if touch:
        roof.page.get_by_role("button", name="Tools", exact=True).tap()
        roof.page.locator(f"[data-tool={name}]").tap()
    else:
        roof.tool(name)


def point(roof, at, touch):
    roof.tap(*at) if touch else roof.click(*at)


def looks(roof, touch):
    if touch and not roof.page.locator("#inputs").is_visible():
        roof.page.get_by_role("button", name="Inputs", exact=True).tap()
    panel = roof.page.get_by_test_id("looks")
    panel.wait_for()
    return panel


SIZES = pytest.mark.parametrize("width,height,touch", [(390, 844, True), (1440, 900, False)])


@SIZES
def test_the_way_of_the_water_from_a_place_clicked(bowl, width, height, touch):
    """In the bowl water runs at 45 degrees to an axis of it and then along that axis: a length known by heart."""
    plan = with_levels()
    plan["outlets"][0]["at"] = list(LOW)
    roof = bowl(plan, width=width, height=height, touch=touch)
    page = roof.page
    if touch:
        page.get_by_role("button", name="Inputs").tap()
    tool(roof, "water", touch)
    start = (11_000, 6_000)
    point(roof, start, touch)
    page.locator(".over .proposed").first.wait_for()
    words = looks(roof, touch).locator("p").first.inner_text()
    across, along = sorted(abs(a - b) for a, b in zip(start, LOW))
    length = (across * math.sqrt(2) + along - across) / 1000
    said = float(words.split(" m")[0])
    # A finger, and the pixel of a phone, are some 5 cm of the deck wide.
    assert abs(said - length) <= (0.2 if touch else 0.1), words
    assert words.endswith("then to outlet 2.")
    looks(roof, touch).get_by_role("button", name="Clear").click()
    assert page.get_by_test_id("looks").count() == 0
    assert page.locator(".over .proposed").count() == 0


def test_water_on_its_way_fills_the_pond_that_it_meets(bowl):
    roof = bowl(with_levels())
    roof.tool("water")
    roof.click(11_000, 6_000)
    words = looks(roof, False).inner_text()
    assert "filling pond 1, then to outlet 2" in words
    # What was told of one plan is not shown beside another.
    roof.tool("select")
    roof.click(1_000, 1_000)
    drag(roof, (1_000, 1_000), LOW)
    assert roof.page.get_by_test_id("looks").count() == 0


@SIZES
def test_a_long_section_along_a_line_drawn(bowl, width, height, touch):
    """Along the axis of the bowl: down 1 in 50 to nought, and up again."""
    roof = bowl(with_levels(), width=width, height=height, touch=touch)
    page = roof.page
    if touch:
        page.get_by_role("button", name="Inputs").tap()
    tool(roof, "section", touch)
    for at in [(2_000, 4_000), (11_000, 4_000)]:
        point(roof, at, touch)
    if touch:
        page.get_by_role("button", name="Finish").tap()
    else:
        page.keyboard.press("Enter")
    panel = looks(roof, touch)
    told = r"(\d+\.\d{3}) m long; the deck from (\S+) m to (\S+) m\. Water stands at (\S+) m\. Heights are drawn (\d+) times"
    length, lowest, highest, water, larger = map(float, re.search(told, panel.inner_text()).groups())
    slack = 0.12 if touch else 0.03
    assert abs(length - 9) <= slack and abs(lowest) <= 0.001
    assert abs(highest - level_at(2_000, 4_000) / 1000) <= slack / 50 + 0.001
    assert water == level_at(1_000, 1_000) / 1000, "the pond stands as high as the outlet in the corner"
    # Drawn as it says: heights so many times larger than lengths, the surface as deep as it is, water at its level.
    picture = panel.locator("svg.section")
    surface = picture.locator(".section-surface").get_attribute("d")
    corners = [tuple(map(float, c.split())) for c in surface.replace("L", "M").split("M")[1:]]
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    drawn_larger = (max(ys) - min(ys)) / (highest - lowest) / ((max(xs) - min(xs)) / length)
    assert abs(drawn_larger - larger) <= 0.05 * larger
    lowest_at = corners[ys.index(max(ys))][0]
    share = (lowest_at - min(xs)) / (max(xs) - min(xs))
    assert abs(share - 6 / 9) < 0.02, "the lowest place is two thirds of the way along"
    assert picture.locator(".section-water").get_attribute("d"), "the pond stands in the section"
    box = panel.bounding_box()
    assert box["x"] >= 0 and box["x"] + box["width"] <= width


def test_a_look_at_a_place_without_levels_says_so(bowl):
    roof = bowl(with_levels())
    roof.tool("water")
    roof.click(-300, 4_000)
    said = roof.page.get_by_test_id("say")
    said.wait_for()
    assert "has no levels there" in said.inner_text()


# The panel ------------------------------------------------------------------


@SIZES
def test_the_panel_of_falls_says_rule_levels_ponds_outlets_and_edges(bowl, width, height, touch):
    roof = bowl(with_levels(drainage={"rain": 750}), width=width, height=height, touch=touch)
    page = roof.page
    panel = page.get_by_test_id("falls")
    panel.wait_for()
    words = panel.inner_text()
    assert "Judged by BS 6229:2018" in words and "the standard itself not read" in words
    assert f"Made of {len(grid())} spot levels." in words
    shares = [float(c) for c in page.locator("[data-testid=classes] tbody td:nth-child(2)").all_inner_texts()]
    assert abs(sum(shares) - 96.0) < 0.11
    assert "it takes" not in words and "its mouth is not known" in words
    assert "An outlet at its deepest place would drain it" in words
    wide = page.evaluate("() => { const e = document.querySelector('#inputs'); return e.scrollWidth <= e.clientWidth + 1; }")
    assert wide, "nothing sticks out of the panel"
    if touch:
        small = page.evaluate(
            """() => [...document.querySelectorAll('#inputs button')].filter(e => e.checkVisibility())
                .map(e => [e.textContent.slice(0, 20), e.getBoundingClientRect().height]).filter(([, h]) => h < 44)"""
        )
        assert small == []


@pytest.mark.parametrize("scheme", ["light", "dark", "sun"])
def test_words_about_falls_can_be_read_in_every_scheme(bowl, scheme):
    """WCAG 2.2, 1.4.3: at least 4.5 to 1, in the panel, the switches, the looks and the list of levels."""
    roof = bowl(all_drawn())
    page = roof.page
    page.evaluate("name => document.documentElement.setAttribute('data-scheme', name)", scheme)
    page.get_by_test_id("layers").locator("summary").click()
    roof.tool("water")
    roof.click(11_000, 6_000)
    looks(roof, False)
    ratios = roof.contrasts("#inputs") + roof.contrasts("[data-testid=layers]")
    open_list(roof)
    paste(roof, as_csv(grid()) + "\n77,1.5,1.5,9.9,X\n78,1.5,2O.0,1,X")
    page.get_by_test_id("levels-problems").wait_for()
    ratios += roof.contrasts("dialog.levels")
    assert len(ratios) > 80
    assert [r for r in ratios if r[1] < 4.5] == []
    # Numbers of bays are drawn quieter at this stage, and still can be read on the tint under them.
    page.keyboard.press("Escape")
    quiet = page.evaluate(
        """() => { const n = document.querySelector('g.plan text.bay-number'); return Number(getComputedStyle(n).opacity); }"""
    )
    assert quiet >= 0.7


@pytest.mark.parametrize("scheme", ["light", "sun"])
def test_on_a_phone_the_buttons_cover_no_figure_of_the_ledger(open_roof, scheme):
    roof = open_roof(width=390, height=844, touch=True)
    page = roof.page
    page.evaluate("name => document.documentElement.setAttribute('data-scheme', name)", scheme)
    ledger = page.get_by_test_id("ledger").bounding_box()
    for button in page.locator(".thumb").all():
        box = button.bounding_box()
        assert box["y"] + box["height"] <= ledger["y"] + 1


def test_texts_of_outlets_stay_on_the_board_when_the_whole_plan_is_shown(bowl):
    """Outlets in the corners, and room for their figures on the deck: nothing is cut off by the board's edge."""
    plan = all_drawn()
    plan["outlets"].append({"id": 4, "at": [400, 7_600], "bowl": 200, "clear_zone": 300})
    for width, height in [(1440, 900), (1000, 700)]:
        roof = bowl(plan, width=width, height=height)
        board = roof.board.bounding_box()
        texts = roof.page.locator("g.plan text.outlet-flow").all()
        assert texts
        for text in texts:
            box = text.bounding_box()
            assert box["x"] >= board["x"] - 1 and box["x"] + box["width"] <= board["x"] + board["width"] + 1
