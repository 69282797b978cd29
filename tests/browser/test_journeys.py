"""Whole journeys: a roof is drawn, cut round, undone, kept and put on paper, by mouse, by keyboard, by touch.

Judged from outside: areas by the shoelace formula, pieces against openings by shapely, sheets by pypdf.
"""

import pytest
from roof import area_of
from shapely.geometry import Polygon
from shapely.ops import unary_union

# An L: 20 x 8 m with a wing of 12 x 6 m on its left half.
L_AREA = 20 * 8 + 12 * 6


def polygon(region):
    return Polygon(region[0], region[1:])


def draw_l_by_mouse(roof):
    """The first corner by a click, each side by its direction on the screen and its length typed."""
    page = roof.page
    roof.begin_drawing()
    roof.click(2000, 2000)
    for (x, y), length in [
        ((9000, 2000), "20000"),
        ((22000, 6000), "8 m"),
        ((15000, 10000), "8,0"),
        ((14000, 13000), "6m"),
        ((8000, 16000), "12000"),
    ]:
        roof.move(x, y)
        page.keyboard.type(length)
        page.keyboard.press("Enter")
    page.keyboard.press("Control+Enter")
    roof.wait_laid()


def no_piece_enters(layout, ring, clear):
    """No piece as laid comes nearer to the hole than `clear` mm (law 3 of the method); shapely is the judge."""
    hole = Polygon([corner["at"] for corner in ring])
    laid = unary_union([polygon(part) for piece in layout["pieces"] for part in piece["as_laid"]])
    assert laid.area > 0
    # Places are whole mm, so a clear strip along a slanting line may be short by a mm.
    assert laid.distance(hole) >= clear - 1.5


def test_first_visit_opens_a_roof_that_is_laid(open_roof):
    roof = open_roof()
    assert "invented" in roof.page.get_by_test_id("job-name").inner_text()
    assert roof.ledger("rolls") > 0
    assert roof.ledger("bays") > 0


def test_draw_by_mouse_cut_an_opening_undo_redo_reload_and_print(open_roof):
    roof = open_roof()
    draw_l_by_mouse(roof)
    plan = roof.plan()
    assert area_of(plan["decks"][0]["ring"]) == pytest.approx(L_AREA, abs=1e-9)
    assert len(plan["decks"][0]["ring"]) == 6
    assert roof.ledger("deck") == pytest.approx(L_AREA, abs=0.05)
    without = roof.layout()

    # A roof light of 1.5 x 1.2 m, its first corner clicked, its size typed.
    roof.tool("openingbox")
    roof.click(6000, 4000)
    roof.move(6800, 4800)
    roof.page.keyboard.type("1500")
    roof.page.keyboard.press("Tab")
    roof.page.keyboard.type("1200")
    roof.page.keyboard.press("Enter")
    roof.wait_laid()
    plan = roof.plan()
    assert len(plan["openings"]) == 1
    assert area_of(plan["openings"][0]["ring"]) == pytest.approx(1.5 * 1.2, abs=1e-9)
    layout = roof.layout()
    no_piece_enters(layout, plan["openings"][0]["ring"], plan["products"]["clear"])
    assert roof.ledger("deck") == pytest.approx(L_AREA - 1.8, abs=0.05)
    assert layout["totals"]["field_area"] < without["totals"]["field_area"]

    # The table shows the same pieces as the file.
    roof.page.locator("[data-ledger=side-lap]").click()
    assert roof.page.get_by_test_id("pieces").locator("tbody tr").count() == layout["totals"]["pieces"]

    # Undo all and redo all end where they began.
    undone = roof.undo_all()
    assert undone > 0
    assert roof.plan()["openings"] != plan["openings"]
    assert roof.redo_all() == undone
    assert roof.plan() == plan

    # Reloading at any moment loses nothing: change and reload at once.
    roof.stage("sheets")
    name = roof.page.locator("[data-field='job.name']")
    name.fill("Larkspur Row (invented)")
    name.press("Enter")
    roof.page.reload()
    roof.wait_laid()
    after = roof.plan()
    assert after["job"]["name"] == "Larkspur Row (invented)"
    assert after["decks"] == plan["decks"]
    assert after["openings"] == plan["openings"]
    assert roof.board.get_attribute("data-stage") == "sheets", "the stage survives a reload"

    # On paper, read back by an outside reader.
    file, pages, reader = roof.pdf("Setting-out sheets, PDF")
    assert file.endswith(".pdf")
    words = "\n".join(pages)
    assert "Larkspur Row (invented)" in words
    assert "1:" in words
    width, height = (float(v) for v in reader.pages[0].mediabox[2:])
    assert sorted([round(width / 72 * 25.4), round(height / 72 * 25.4)]) == [297, 420], "A3"


def test_the_same_with_the_keyboard_alone(open_roof):
    """No pointer event is sent in this test at all."""
    roof = open_roof()
    page = roof.page
    # The first thing that Tab reaches takes the focus to the board.
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Go to the drawing"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "board"

    # The command box begins a new plan.
    page.keyboard.press("Control+k")
    page.locator("#find-box").type("New plan")
    page.keyboard.press("Enter")
    assert roof.plan()["decks"] == []
    page.evaluate("document.getElementById('board').focus()")

    page.keyboard.press("d")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    for length, degrees in [("20000", "0"), ("8000", "90"), ("8000", "180"), ("6000", "90"), ("12000", "180")]:
        page.keyboard.type(length)
        page.keyboard.press("Tab")
        page.keyboard.type(degrees)
        page.keyboard.press("Enter")
    page.keyboard.press("Control+Enter")
    roof.wait_laid()
    plan = roof.plan()
    assert area_of(plan["decks"][0]["ring"]) == pytest.approx(L_AREA, abs=1e-9)
    corner = plan["decks"][0]["ring"][0]["at"]

    # An opening: the cross is moved into the deck by arrow keys, then width, depth.
    page.evaluate("document.getElementById('board').focus()")
    page.keyboard.press("o")
    page.keyboard.press("Shift+x")
    page.keyboard.press("Enter")
    page.keyboard.type("1500")
    page.keyboard.press("Tab")
    page.keyboard.type("1200")
    page.keyboard.press("Enter")
    roof.wait_laid()
    cut = roof.plan()
    assert len(cut["openings"]) == 1
    no_piece_enters(roof.layout(), cut["openings"][0]["ring"], cut["products"]["clear"])

    page.evaluate("document.getElementById('board').focus()")
    page.keyboard.press("Control+z")
    assert roof.plan()["openings"] == []
    page.evaluate("document.getElementById('board').focus()")
    page.keyboard.press("Control+y")
    assert roof.plan() == cut

    page.reload()
    roof.wait_laid()
    assert roof.plan() == cut
    assert roof.plan()["decks"][0]["ring"][0]["at"] == corner

    # The sheets, by the command box.
    download = roof._download(lambda: roof._find("Save the sheets as PDF"))
    assert download.suggested_filename.endswith(".pdf")


def test_a_side_is_changed_in_its_table(open_roof):
    """The table of sides is an editor of the outline: a length typed there moves the corner."""
    roof = open_roof()
    page = roof.page
    draw_l_by_mouse(roof)
    before = roof.plan()["decks"][0]
    field = page.locator(f"[data-field='thing/{before['id']}/edge/0/length']")
    if field.count() == 0:
        page.locator(".thing", has_text="Deck").first.click()
    field.first.fill("21,5")
    field.first.press("Enter")
    roof.wait_laid()
    ring = roof.plan()["decks"][0]["ring"]
    (ax, ay), (bx, by) = ring[0]["at"], ring[1]["at"]
    assert (bx - ax, by - ay) == (21_500, 0)

    # Nonsense stays in its box with a sentence under it; the last good plan stays.
    field.first.fill("twelve")
    field.first.press("Enter")
    assert field.first.input_value() == "twelve"
    assert field.first.get_attribute("aria-invalid") == "true"
    assert page.locator(".field.bad .wrong").first.inner_text()
    assert roof.plan()["decks"][0]["ring"] == ring


def test_by_touch_on_a_phone(open_roof):
    roof = open_roof(width=390, height=844, touch=True)
    page = roof.page
    page.get_by_role("button", name="Job", exact=True).tap()
    page.get_by_role("button", name="Begin a job").tap()
    page.locator(".way", has_text="Draw it").tap()
    roof.tap(2000, 2000)
    for length, degrees in [("20 m", "0"), ("8 m", "90"), ("8 m", "180"), ("6 m", "90"), ("12 m", "180")]:
        page.get_by_label("Length", exact=True).fill(length)
        page.get_by_label("Direction", exact=True).tap()
        page.get_by_label("Direction", exact=True).fill(degrees)
        page.get_by_label("Direction", exact=True).press("Enter")
    page.get_by_role("button", name="Finish").tap()
    roof.wait_laid()
    assert area_of(roof.plan()["decks"][0]["ring"]) == pytest.approx(L_AREA, abs=1e-9)

    # Everything the thumb has to hit is 44 px high or more.
    small = page.evaluate(
        """() => [...document.querySelectorAll('.stages button, .ledger .cell, .thumb, .acts-bar button')]
            .filter(b => b.offsetParent !== null || getComputedStyle(b).position === 'fixed')
            .map(b => [b.textContent.trim(), b.getBoundingClientRect().height])
            .filter(([, height]) => height < 43.5)"""
    )
    assert small == []
    # Nothing sticks out sideways.
    assert page.evaluate("document.documentElement.scrollWidth") <= 390

    page.get_by_role("button", name="Tools", exact=True).tap()
    page.locator("[data-tool=openingbox]").tap()
    roof.tap(5000, 4000)
    page.get_by_label("Width", exact=True).fill("1500")
    page.get_by_label("Depth", exact=True).tap()
    page.get_by_label("Depth", exact=True).fill("1200")
    page.get_by_label("Depth", exact=True).press("Enter")
    roof.wait_laid()
    plan = roof.plan()
    assert len(plan["openings"]) == 1
    no_piece_enters(roof.layout(), plan["openings"][0]["ring"], plan["products"]["clear"])

    page.get_by_role("button", name="Undo", exact=True).tap()
    assert roof.plan()["openings"] == []
    page.get_by_role("button", name="Redo", exact=True).tap()
    assert roof.plan() == plan
    page.reload()
    roof.wait_laid()
    assert roof.plan() == plan

    page.locator("#stage-sheets").tap()
    page.get_by_role("button", name="Inputs", exact=True).tap()
    _, pages, _ = roof.pdf("Setting-out sheets, PDF")
    assert "1:" in "\n".join(pages)


def test_two_fingers_move_the_view_and_draw_nothing(open_roof):
    """Pinch and two-finger pan while drawing add no point and change no plan."""
    roof = open_roof(width=390, height=844, touch=True)
    page = roof.page
    roof.begin_drawing()
    before = roof.plan()
    box = roof.board.bounding_box()
    client = page.context.new_cdp_session(page)
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 3
    matrix = page.locator("g.plan").get_attribute("transform")
    for step in range(20):
        points = lambda d: [{"x": x - 40 - d, "y": y, "id": 1}, {"x": x + 40 + d, "y": y + d, "id": 2}]
        client.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": points(0)})
        for d in (5, 12, 20):
            client.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": points(d if step % 2 else -d / 2)})
        client.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    assert page.locator("g.plan").get_attribute("transform") != matrix, "the view moved"
    assert page.locator(".mark.drawn").count() == 0
    assert roof.plan() == before
