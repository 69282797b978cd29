"""The judge of the sheet itself: a sound sheet, laid by hand, is spoilt in one way, and the right check names it."""

import pytest

import hand_built
import protection
import protection_hand_built as built


def judged(spoil=None, again=True):
    """What is broken after spoiling the sheet, its figures put right again."""
    plan, layout = built.plan(), built.layout()
    if spoil:
        spoil(layout["protection"]["pieces"], layout)
        if again:
            built.add_up(layout)
    return protection.judge(plan, layout)


def checks(spoil, again=True):
    return sorted({b.check for b in judged(spoil, again)})


def shape(piece, x0=0, y0=0, x1=0, y1=0):
    """Moves the edges of a piece with its polygon."""
    (a, b), _, (c, d), _ = piece["as_laid"][0][0]
    piece["as_laid"] = [hand_built.rect(a + x0, b + y0, c + x1, d + y1)]
    piece["from"], piece["to"] = piece["from"] + x0, piece["to"] + x1
    piece["across"] = [piece["across"][0] + y0, piece["across"][1] + y1]
    piece["length"] = piece["to"] - piece["from"]


def of(pieces, bay, course):
    return [p for p in pieces if (p["bay"], p["course"]) == (bay, course)]


def test_a_sound_sheet_holds():
    assert judged() == []


def test_a_sheet_left_out():
    plan, layout = built.plan(), built.layout() | {"protection": None, "days": {"days": []}}
    assert [b.check for b in protection.judge(plan, layout)] == ["form"]


def test_a_strip_left_bare():
    def spoil(pieces, _):
        shape(of(pieces, 4, 3)[0], x1=-20)

    assert "cover" in checks(spoil)


def test_a_piece_out_over_the_edge():
    def spoil(pieces, _):
        shape(of(pieces, 4, 3)[0], x1=30)

    assert "cover" in checks(spoil)


def test_a_side_lap_too_narrow():
    def spoil(pieces, _):
        shape(of(pieces, 4, 2)[0], y0=10)

    assert "laps" in checks(spoil)


def test_an_end_lap_too_short():
    def spoil(pieces, _):
        shape(of(pieces, 2, 2)[1], x0=12)

    assert "laps" in checks(spoil)


def test_a_lap_near_one_of_the_reinforcement():
    def spoil(pieces, _):
        # The lap of courses 1 and 2 of bay 4 comes to lie 100 mm below that of courses 4 and 5 of the fleece.
        shape(of(pieces, 4, 1)[0], y1=50)

    assert checks(spoil) == ["off", "stock"]
    near = [b for b in judged(spoil) if b.check == "off"]
    assert near and all(b.error == pytest.approx(50, abs=2) for b in near)


def test_a_lap_near_one_that_is_listed():
    def spoil(pieces, layout):
        shape(of(pieces, 4, 1)[0], y0=50, y1=50)
        shape(of(pieces, 3, 3)[0], y1=0)

    # Nearer at its upper edge, short of its lap at the lower one.
    assert {"off", "laps"} <= set(checks(spoil))


def test_a_sheet_over_an_open_lap():
    def spoil(pieces, _):
        shape(of(pieces, 3, 3)[0], y1=40)

    assert "open" in checks(spoil)


def test_a_sheet_on_a_later_bay():
    def spoil(pieces, _):
        of(pieces, 4, 1)[0]["bay"] = 3

    assert "open" in checks(spoil)


def side_by_side(pieces, _):
    """Both courses of bay 2 end at one place."""
    one, two = of(pieces, 2, 2)
    by = one["length"] - 5600 or -400
    shape(one, x1=-by)
    shape(two, x0=-by)


def test_four_sheets_on_one_another():
    assert checks(side_by_side) == ["layers"]


def test_four_sheets_that_are_named():
    broken = judged(side_by_side)

    def spoil(pieces, layout):
        side_by_side(pieces, layout)
        layout["protection"]["deep"] = [list(b.at) for b in broken]

    assert checks(spoil) == []


def test_four_sheets_named_where_they_are_not():
    def spoil(_, layout):
        layout["protection"]["deep"] = [[500, 500]]

    assert checks(spoil) == ["layers"]


def test_an_edge_said_to_be_near():
    def spoil(pieces, layout):
        piece = of(pieces, 4, 1)[0]
        edge = {"piece": piece["number"], "kind": "side", "along": [piece["from"], piece["to"]], "off": 10}
        layout["protection"]["near_edges"] = [edge | {"across": [piece["across"][1]] * 2}]

    assert checks(spoil) == ["list"]


def test_a_piece_longer_than_its_roll():
    def spoil(_, layout):
        layout["protection"]["pieces"][0]["roll_from"] = 500

    assert checks(spoil, again=False) == ["stock"]


@pytest.mark.parametrize("what", ["cut_area", "laid_area", "side_laps", "end_laps", "rolls", "pieces", "near"])
def test_a_sum_that_is_not_so(what):
    def spoil(_, layout):
        layout["protection"]["totals"][what] += 1

    assert checks(spoil, again=False) == ["figures"]


@pytest.mark.parametrize("what", ["sheet_area", "sheet_rolls"])
def test_a_figure_of_the_job_that_is_not_the_sheets(what):
    def spoil(_, layout):
        layout["totals"][what] += 1

    assert checks(spoil, again=False) == ["figures"]


def test_a_lap_not_listed():
    def spoil(_, layout):
        laps = layout["protection"]["laps"]
        lap = next(lap for lap in laps if lap["kind"] == "side")
        laps.remove(lap)
        layout["protection"]["totals"]["side_laps"] -= lap["length"]

    assert checks(spoil, again=False) == ["list"]


def test_a_lap_said_to_be_near():
    def spoil(_, layout):
        layout["protection"]["laps"][0] |= {"off": 20, "near": 0}

    assert checks(spoil, again=False) == ["list"]
