"""The judges of days themselves: a sound layout, put into days by hand, is spoilt in one way, and the right check names it."""

import pytest

import days
import days_calendar
import days_hand_built as built
import days_melting


def judged(spoil=None, plan_spoil=None):
    plan, layout = built.plan(), built.layout()
    if plan_spoil:
        plan_spoil(plan)
    if spoil:
        spoil(layout)
    return days.judge("spoilt", plan, layout).broken


def checks(*spoils):
    return sorted({b.check for b in judged(*spoils)})


def test_the_hand_built_days_hold():
    assert judged() == []


def day(layout, number):
    return layout["days"]["days"][number - 1]


def turn(layout, bay):
    return next(t for d in layout["days"]["days"] for t in d["turns"] if t["bay"] == bay)


def later(layout, bays, minutes):
    for bay in bays:
        turn(layout, bay)["from"] += minutes
        turn(layout, bay)["to"] += minutes


def swapped(layout, a, b):
    """Two turns that follow one another, the other way round."""
    one, two = turn(layout, a), turn(layout, b)
    start, first = one["from"], two["to"] - two["from"]
    one |= {"from": start + first, "to": two["to"]}
    two |= {"from": start, "to": start + first}
    turns = next(d["turns"] for d in layout["days"]["days"] if one in d["turns"])
    i = turns.index(one)
    turns[i], turns[i + 1] = two, one


def no_days(layout):
    layout["days"] = None


def a_bay_left_out(layout):
    day(layout, 2)["turns"].pop()


def a_bay_twice(layout):
    day(layout, 1)["turns"].append(dict(turn(layout, 3), **{"from": 400, "to": 451}))


@pytest.mark.parametrize("spoil, named", [
    (no_days, "form"),
    (lambda y: y["days"]["bays"].pop(), "form"),
    (lambda y: day(y, 2).update(number=3), "form"),
    (lambda y: turn(y, 4).update(gang=2), "form"),
    (a_bay_left_out, "once"),
    (a_bay_twice, "once"),
    (lambda y: later(y, [3, 4], 5), "turns"),
    (lambda y: later(y, [3, 4], -5), "turns"),
    (lambda y: turn(y, 4).update(to=turn(y, 4)["to"] + 3), "minutes"),
])
def test_turns_that_are_not_sound(spoil, named):
    assert named in checks(spoil)


def test_a_day_longer_than_it_is():
    def plan_spoil(plan):
        plan["gang"]["day_minutes"] = 290

    def spoil(layout):
        layout["days"]["gangs"][0]["minutes"] = 260

    assert checks(spoil, plan_spoil) == ["day"]


def test_gangs_given_more_than_the_day_leaves():
    def spoil(layout):
        layout["days"]["gangs"][0]["minutes"] = 361

    assert checks(spoil) == ["minutes"]


def test_a_bay_without_a_way_off():
    # Bay 4 is the way off: laid before bay 3, nothing is left over bays not laid that day.
    found = judged(lambda y: swapped(y, 3, 4))
    assert {b.check for b in found} >= {"way off", "numbers"} and any(b.check == "way off" and b.about == 3 for b in found)


def test_a_way_off_elsewhere_on_the_plan():
    def plan_spoil(plan):
        plan["ways"][0]["at"] = [0, 1000]

    # People leave over bay 1 then, laid on the first day: bays 2 and 3 may be left over it on the second, bay 4 lies behind them. In
    # the evening of the first day all three are left behind.
    found = judged(None, plan_spoil)
    assert [b.about for b in found if b.check == "way off"] == [4]
    assert {b.about: b.error for b in found if b.check == "score"}["left_behind"] == 3


def test_a_way_off_over_a_bay_laid_the_same_day():
    def plan_spoil(plan):
        plan["ways"][0]["at"] = [0, 4000]

    assert any(b.check == "way off" and b.about in (3, 4) for b in judged(None, plan_spoil))


def test_a_law_that_a_finding_names_is_not_told_again():
    def spoil(layout):
        swapped(layout, 3, 4)
        layout["findings"] = [{"code": "x", "severity": "warning", "about": {"bay": 3}, "at": None, "text": "", "do": ""}]

    assert "way off" not in checks(spoil) and "way off" in checks(lambda y: swapped(y, 3, 4))


@pytest.mark.parametrize("tie", [{"day": 2}, {"turn": 2}, {"date": "2026-12-01"}])
def test_a_tie_not_kept_and_not_told(tie):
    def plan_spoil(plan):
        plan["programme"]["ties"] = [{"id": 93, "at": [1000, 1000]} | tie]

    assert "tie" in checks(None, plan_spoil)


def test_a_date_goes_before_a_day():
    def plan_spoil(plan):
        plan["programme"]["ties"] = [{"id": 93, "at": [1000, 1000], "day": 2, "date": "2026-11-27"}]

    assert checks(None, plan_spoil) == []


@pytest.mark.parametrize("name, off", [("days", 1), ("facing", 300), ("joints", 300), ("bad_joints", 300), ("parted", 1), ("left_behind", 1), ("haul", 1), ("broken", 1), ("cost", 1)])
def test_a_score_that_is_not_so(name, off):
    def spoil(layout):
        layout["days"]["score"][name] += off

    found = [b for b in judged(spoil) if b.check == "score"]
    assert name in {b.about for b in found}


@pytest.mark.parametrize("change", [{"least": 10**9}, {"proved": True}])
def test_a_bound_that_is_none(change):
    assert "bound" in checks(lambda y: y["days"]["score"].update(change))


def test_an_order_that_is_not_the_best():
    assert "optimum" in checks(lambda y: y["days"]["score"].update(cost=y["days"]["score"]["cost"] + 5000))


def test_a_least_that_an_order_costs_less_than():
    def spoil(layout):
        layout["days"]["score"] |= {"cost": 10**9, "least": 10**9}

    assert "optimum" in checks(spoil)


def joint(layout):
    return day(layout, 1)["joints"][0]


@pytest.mark.parametrize("spoil", [
    lambda y: day(y, 1)["joints"].clear(),
    lambda y: joint(y).update(length=8900),
    lambda y: joint(y).update(bad=700),
    lambda y: joint(y).update(laid=2, next=1),
    # Across the movement joint people pass, and nothing is joined.
    lambda y: day(y, 1)["joints"].append({"laid": 1, "next": 3, "length": 2825, "bad": 0}),
    lambda y: day(y, 1)["joints"].append(dict(joint(y))),
])
def test_day_joints_that_are_not_so(spoil):
    assert checks(spoil) == ["day joints"]


def test_bays_said_to_touch_that_do_not():
    def spoil(layout):
        for a, b in ((1, 4), (4, 1)):
            layout["bays"][a - 1]["beside"] = sorted([*layout["bays"][a - 1]["beside"], b])

    assert "beside" in checks(spoil)


def test_bays_that_touch_and_are_not_said_to():
    def spoil(layout):
        for a, b in ((1, 3), (3, 1)):
            layout["bays"][a - 1]["beside"] = [n for n in layout["bays"][a - 1]["beside"] if n != b]

    assert "beside" in checks(spoil)


@pytest.mark.parametrize("spoil", [
    lambda y: day(y, 1).update(date="2026-11-28"),
    lambda y: day(y, 2).update(date="2026-11-30"),
    lambda y: y["days"].update(finish="2026-12-01"),
    lambda y: day(y, 2).update(date=None),
])
def test_dates_that_are_not_so(spoil):
    assert checks(spoil) == ["calendar"]


def test_a_day_lost_moves_what_is_behind():
    def plan_spoil(plan):
        plan["programme"]["calendar"]["lost"] = ["2026-12-01"]

    assert checks(None, plan_spoil) == ["calendar"]


def test_working_days_are_counted():
    calendar = days_calendar.USUAL | {"start": "2026-12-24", "holidays": ["2026-12-25", "2026-12-28"]}
    assert days_calendar.dates(calendar, 3) == ["2026-12-24", "2026-12-29", "2026-12-30"]
    assert days_calendar.number_of(calendar, "2026-12-29") == 2
    assert [days_calendar.number_of(calendar, d) for d in ("2026-12-23", "2026-12-25", "2026-12-26")] == [None] * 3


def bay(layout, number):
    return layout["days"]["bays"][number - 1]


@pytest.mark.parametrize("spoil, named", [
    (lambda y: bay(y, 1)["upstands"][0].update(length=11_700), "walls"),
    (lambda y: bay(y, 1)["upstands"][0].update(height=200), "walls"),
    (lambda y: bay(y, 1)["upstands"][0].update(girth=250), "walls"),
    (lambda y: bay(y, 2).update(free_edges=100), "walls"),
    (lambda y: bay(y, 3).update(inside_corners=2), "corners"),
    (lambda y: bay(y, 3).update(outside_corners=1), "corners"),
    (lambda y: bay(y, 3).update(joints=2825), "joints"),
    (lambda y: (bay(y, 1).update(outlets=[]), bay(y, 2).update(outlets=[90])), "things"),
    (lambda y: bay(y, 1).update(outlets=[]), "things"),
    (lambda y: bay(y, 4).update(penetrations=[7]), "things"),
    (lambda y: bay(y, 2).update(millilitres=bay(y, 2)["millilitres"] + 5), "membrane"),
    (lambda y: bay(y, 2).update(details_millilitres=bay(y, 2)["details_millilitres"] - 50), "membrane"),
    (lambda y: bay(y, 2).update(haul=[bay(y, 2)["haul"][0] + 10]), "ways"),
    (lambda y: bay(y, 2).update(loads=bay(y, 2)["loads"] + 1), "minutes"),
    (lambda y: y["details"]["upstands"][0].update(length=30_000), "sums"),
    (lambda y: y["details"].update(joints=9000), "sums"),
])
def test_work_that_is_not_so(spoil, named):
    assert named in checks(spoil)


@pytest.mark.parametrize("trade", ["prime", "details", "pour", "haul", "protect"])
@pytest.mark.parametrize("off", [-1, 1])
def test_minutes_that_are_not_so(trade, off):
    def spoil(layout):
        bay(layout, 4)["minutes"][0][trade] += off
        turn(layout, 4)["to"] += off

    # What is drawn from the melter moves with them.
    assert {"minutes"} <= set(checks(spoil)) <= {"minutes", "melters"}


@pytest.mark.parametrize("what", ["membrane_kg", "details_kg", "blocks", "primer_litres", "sheet_area", "strip", "strip_area", "bar", "fixings", "gas"])
@pytest.mark.parametrize("of", ["day", "job"])
def test_materials_that_are_not_so(what, of):
    def spoil(layout):
        (day(layout, 1) if of == "day" else layout["days"])["materials"][what] += 1

    found = judged(spoil)
    assert {b.check for b in found} == {"materials"} and what in {b.about for b in found}


@pytest.mark.parametrize("spoil", [
    lambda y: day(y, 2)["materials"]["rolls_up"].append(1),
    lambda y: day(y, 1)["materials"]["rolls_up"].remove(1),
    lambda y: day(y, 2)["materials"]["rolls_part"].append(1),
    lambda y: y["days"]["materials"]["rolls_up"].pop(),
    lambda y: y["days"]["materials"]["rolls_part"].append(99),
])
def test_rolls_that_are_not_so(spoil):
    assert checks(spoil) == ["rolls"]


@pytest.mark.parametrize("change", [{"drawn": 30}, {"melted": 30}, {"short_at": 40}, {"short_at": 100}, {"melter": 7}, {"level": [[0, 0], [60, 40]]}])
def test_a_melter_that_is_not_so(change):
    assert checks(lambda y: day(y, 1)["melters"][0].update(change)) == ["melters"]


def test_a_melter_in_closed_form():
    # 100 litres an hour from minute 60: 60 litres drawn over the hour to 180 leave 100 + 100 - 60; 240 drawn in an hour from
    # empty run short at once, and 100 are melted.
    rates = {"melt_start": 60, "melt_rate": 100}
    drawn, melted, short, levels = days_melting.through([(120, 180, 60)], rates, 1000)
    assert (round(drawn), round(melted), short, round(levels[-1])) == (60, 200, None, 140)
    drawn, melted, short, levels = days_melting.through([(60, 120, 240)], rates, 1000)
    assert (round(drawn), round(melted), round(short), round(levels[-1])) == (240, 100, 60, 0)
    # 50 litres of room are full at minute 90; nothing is melted from then to 120, when 10 are drawn over 10 minutes.
    drawn, melted, short, levels = days_melting.through([(120, 130, 10)], rates, 50)
    assert (round(melted), short, round(levels[-1])) == (60, None, 50)


def test_a_bond_test_off_the_first_bay():
    assert checks(lambda y: day(y, 1).update(test_at=[11_000, 1000])) == ["bond test"]
    assert checks(lambda y: day(y, 1).update(test_at=None)) == ["bond test"]


def test_details_that_others_do():
    def plan_spoil(plan):
        plan["programme"]["details"] = {"others": {"people": 2}}

    def done(first, second):
        def spoil(layout):
            day(layout, 1)["details_of"], day(layout, 2)["details_of"] = first, second

        return spoil

    assert "details" not in checks(done([1, 2, 3, 4], []), plan_spoil)
    # Bay 1 is poured on the first day; nobody does bay 4.
    assert "details" in checks(done([2, 3, 4], [1]), plan_spoil)
    assert "details" in checks(done([1, 2, 3], []), plan_spoil)
    assert checks(done([1], [])) == ["details"]
