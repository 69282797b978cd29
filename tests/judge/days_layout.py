"""The days of a layout, replayed over its bays.

In: a plan, its layout, its `days_ground.Ground`. Out: what the days break and what of the score is not so. Must hold: the bays are
turned into a task of `days_order` and judged there; lengths are found again from polygons, and may depart by their snapping; where
snapping decides whether a bay has a way off, only what is sure is held against the layout.
"""

from __future__ import annotations

from shapely.geometry import Point

import days_calendar
import days_exact
import days_order
from days_ground import SNAP, least_edge
from days_order import Broken, Placed

#: The usual prices of the plan's documentation.
PRICES = {"day": 80_000, "facing_metre": 4_000, "joint_metre": 500, "bad_joint_metre": 4_000, "parted": 4_000, "left_behind": 8_000, "haul": 20}
#: Layouts of so many bays and gangs are put into the best order here again.
SMALL, GANGS = 7, 2
#: A bay may be an exit when it lies no more than this further off than the nearest, mm.
HAIR = 2.0
TRADES = ("prime", "details", "pour", "haul", "protect")


class Replay:
    """The days of a layout as a task and an order."""

    def __init__(self, plan, layout, ground):
        self.plan, self.layout, self.ground, self.days = plan, layout, ground, layout["days"]
        self.programme = plan.get("programme") or {}
        self.numbers = [bay["number"] for bay in layout["bays"]]
        self.site_of = {n: k for k, n in enumerate(self.numbers)}
        self.work = {w["bay"]: w for w in self.days["bays"]}

    def first_thing(self):
        """Minutes before the first pour: what the working day has more than the gangs have for bays, where it is known."""
        stated = before_bays(self.programme)
        day = self.plan["gang"].get("day_minutes")
        if stated is not None:
            return stated
        if day is not None and self.days["gangs"][0]["minutes"] > 0:
            return day - self.days["gangs"][0]["minutes"]
        return min((t["from"] for d in self.days["days"] for t in d["turns"]), default=0)

    def placed(self):
        """The turns as sites placed."""
        early = self.first_thing()
        turns = [(day["number"] - 1, t) for day in self.days["days"] for t in day["turns"]]
        return [Placed(day, t["from"] - early, t["gang"] - 1, self.site_of.get(t["bay"], -1), t["to"] - early) for day, t in turns]

    def task(self, exits, ties=True):
        """The bays as sites."""
        ground, sites = self.ground, self.numbers
        minutes = [[sum(m[trade] for trade in TRADES) for m in self.work[n]["minutes"]] for n in sites]
        haul = [[self.work[n].get("loads", 0) * way for way in self.work[n]["haul"]] for n in sites]
        beside = [{self.site_of[m]: self.edge(n, m) for m in sorted(ground.neighbours[n])} for n in sites]
        found = self.ties() if ties else {}
        return days_order.Task(
            minutes, haul, beside, frozenset(self.site_of[n] for n in exits), [found.get(n, (None,) * 3) for n in sites],
            [gang["minutes"] for gang in self.days["gangs"]], PRICES | self.programme.get("prices", {}),
        )

    def edge(self, n, other):
        """(length, bad part, part over which the one lies above the other), mm."""
        pair = (min(n, other), max(n, other))
        water = self.ground.water.get(pair, {})
        # What is laid later lies on top: the greater number.
        above = water.get("faces_water", 0.0) if n < other else water.get("sheds", 0.0)
        length = self.ground.joined[pair].length if pair in self.ground.joined else 0.0
        return length, self.ground.bad(pair), above

    def ties(self):
        """Bay -> (day, gang, turn), each from 0, as the plan ties it; bays are named by a place inside them."""
        found, gangs = {}, {gang["id"]: k for k, gang in enumerate(self.days["gangs"])}
        calendar = days_calendar.of_plan(self.plan)
        for tie in self.programme.get("ties", []):
            held = [n for n, shape in self.ground.shapes.items() if shape.distance(Point(tie["at"])) == 0]
            if len(held) != 1:
                continue
            day = tie.get("day")
            if tie.get("date") is not None:
                day = days_calendar.number_of(calendar, tie["date"]) or day
            turn, gang = tie.get("turn"), gangs.get(tie.get("gang"))
            parts = (None if not day else day - 1, gang, None if not turn else turn - 1)
            # Where two ties name one bay the later one holds for what it says.
            before = found.get(held[0], (None,) * 3)
            found[held[0]] = tuple(p if p is not None else b for p, b in zip(parts, before))
        return found


def judge(replay):
    """Laws, ties and figures of the days."""
    broken = form(replay)
    if broken:
        return broken
    ground, placed = replay.ground, replay.placed()
    lenient, strict = replay.task(ground.exits(HAIR)), replay.task(ground.exits(1e-6))
    broken = [told(replay, b) for b in days_order.judge(lenient, placed)]
    unsaid = [b for b in broken if b.check in ("way off", "tie") and not has_finding(replay, b.about)]
    hard = [b for b in broken if b.check not in ("way off", "tie")]
    if hard:
        return hard
    scores = [days_order.score(task, placed) for task in (lenient, strict)]
    return unsaid + numbers(replay) + begins(replay) + score(replay, scores) + best(replay, lenient, strict) + day_joints(replay, placed) + tests(replay) + details(replay)


def form(replay):
    """Days, gangs and bays count as they should."""
    days, broken = replay.days, []
    if [w["bay"] for w in days["bays"]] != replay.numbers:
        broken.append(Broken("form", "the work does not name every bay once, in number order"))
    if [d["number"] for d in days["days"]] != list(range(1, len(days["days"]) + 1)):
        broken.append(Broken("form", "the days do not count from 1"))
    for work in days["bays"]:
        if len(work["minutes"]) != len(days["gangs"]) or len(work["haul"]) != len(days["gangs"]):
            broken.append(Broken("form", f"bay {work['bay']} has not one figure a gang", work["bay"]))
    known = set(replay.numbers)
    for day in days["days"]:
        for turn in day["turns"]:
            if turn["bay"] not in known or not 1 <= turn["gang"] <= len(days["gangs"]):
                broken.append(Broken("form", f"day {day['number']}: bay {turn['bay']} by gang {turn['gang']}", turn["bay"]))
    return broken


def told(replay, broken):
    """A broken law with the bay instead of the site."""
    if not isinstance(broken.about, int) or broken.about not in range(len(replay.numbers)):
        return broken
    number = replay.numbers[broken.about]
    return Broken(broken.check, broken.what.replace(f"site {broken.about} ", f"bay {number} "), number, broken.error)


def has_finding(replay, bay):
    """Whether some finding is about a bay, or about a tie to it."""
    shape = replay.ground.shapes[bay]
    ties = [tie["id"] for tie in replay.programme.get("ties", []) if shape.distance(Point(tie["at"])) <= HAIR]
    return any(f["about"] in ({"bay": bay}, *({"plan": tie} for tie in ties)) for f in replay.layout["findings"])


def numbers(replay):
    """Bays are numbered in the order they are poured."""
    order = [t["bay"] for day in replay.days["days"] for t in day["turns"]]
    if order != sorted(order):
        return [Broken("numbers", f"bays are poured in the order {order[:12]}, not in that of their numbers")]
    return []


def before_bays(programme):
    """Minutes of a day before the first bay, where the plan gives them: bond test and setting out, and the first litre of a melter
    lit at the start of work, whichever takes longer."""
    rates = programme.get("rates", {})
    first, melt = rates.get("first_thing"), rates.get("melt_start")
    return None if first is None or melt is None else max(first, melt)


def begins(replay):
    """Gangs have for bays what the working day leaves them."""
    day, first = replay.plan["gang"].get("day_minutes"), before_bays(replay.programme)
    if day is None or first is None:
        return []
    wanted = max(0, day - first)
    return [Broken("minutes", f"gang {g['name']!r} is given {g['minutes']} minutes, the day leaves {wanted}") for g in replay.days["gangs"] if g["minutes"] != wanted]


def score(replay, scores):
    """The figures of the score, and its cost from its own figures."""
    stated, broken = replay.days["score"], []
    parts = 2 + len(replay.ground.edges)
    for name in ("days", "facing", "joints", "bad_joints", "parted", "left_behind", "haul", "broken"):
        got = sorted(getattr(s, name) for s in scores)
        room = SNAP * parts if name in ("facing", "joints", "bad_joints") else 0
        if not got[0] - room <= stated[name] <= got[1] + room:
            broken.append(Broken("score", f"{name} is said to be {stated[name]}, by replay it is {got[0]:.0f}", name, abs(stated[name] - got[0])))
    own = days_order.Score(**{name: stated[name] for name in ("days", "facing", "joints", "bad_joints", "parted", "left_behind", "haul")})
    cost = days_order.cost(PRICES | replay.programme.get("prices", {}), own)
    if stated["cost"] != cost:
        broken.append(Broken("score", f"the cost is said to be {stated['cost']}, its figures come to {cost}", "cost", abs(stated["cost"] - cost)))
    if stated["least"] > stated["cost"] or stated["proved"] and (stated["broken"] or stated["least"] != stated["cost"]):
        broken.append(Broken("bound", f"cost {stated['cost']}, least {stated['least']}, {stated['broken']} broken, proved {stated['proved']}"))
    return broken


def best(replay, task, strict):
    """The order of a small layout is the best there is, as far as its lengths are known to the mm."""
    stated, bays, gangs = replay.days["score"], len(task.minutes), len(task.day)
    if bays > SMALL or gangs > GANGS or task.exits != strict.exits:
        return []
    task.beside = [{m: tuple(round(v) for v in edge) for m, edge in near.items()} for near in task.beside]
    laws, cost = days_exact.by_subsets(task)
    by_metre = sum(task.prices[name] for name in ("facing_metre", "joint_metre", "bad_joint_metre"))
    room = 1 + by_metre * SNAP * len(replay.ground.edges) / 1000
    if (stated["broken"], stated["cost"]) > (laws, cost + room):
        return [Broken("optimum", f"{stated['broken']} broken at {stated['cost']}, the best order has {laws} at {cost}", stated["proved"], stated["cost"] - cost)]
    if laws == 0 and stated["least"] > cost + room:
        return [Broken("optimum", f"no order is said to cost less than {stated['least']}, one costs {cost}", "least", stated["least"] - cost)]
    return []


def day_joints(replay, placed):
    """The edges left open at the end of each day: between a bay laid that day and one laid later."""
    broken, day_of = [], {replay.numbers[p.site]: p.day for p in placed}
    for day in replay.days["days"]:
        stated = {(j["laid"], j["next"]): (j["length"], j["bad"]) for j in day["joints"]}
        if len(stated) != len(day["joints"]):
            broken.append(Broken("day joints", f"day {day['number']} lists a joint twice", day["number"]))
        wanted = {}
        for pair in replay.ground.joined:
            laid, later = sorted(pair, key=lambda n: day_of[n])
            if day_of[laid] == day["number"] - 1 < day_of[later]:
                wanted[laid, later] = replay.edge(laid, later)[:2]
        for key in stated.keys() | wanted.keys():
            broken += one_joint(replay, day["number"], key, stated.get(key), wanted.get(key))
    return broken


def one_joint(replay, day, key, stated, wanted):
    """One day joint as listed and as found."""
    name = f"day {day}, between bays {key[0]} and {key[1]}"
    if stated is None:
        # What touches for less than people need to pass is no neighbour, and need not be listed.
        return [] if wanted[0] <= least_edge(replay.ground, tuple(sorted(key))) + SNAP else [Broken("day joints", f"{name}: {wanted[0]:.0f} mm are left open and not listed", key, wanted[0])]
    if wanted is None:
        return [Broken("day joints", f"{name}: a joint is listed, and nothing is left open there", key, stated[0])]
    return [
        Broken("day joints", f"{name}: {what} {got} mm, found {found:.0f}", key, abs(got - found))
        for what, got, found in zip(("long", "bad for"), stated, wanted)
        if abs(got - found) > 2 * SNAP + 0.001 * found
    ]


def tests(replay):
    """The bond test is made at the first bay of the day."""
    broken = []
    for day in replay.days["days"]:
        if day["turns"] and day["test_at"] is not None:
            first = replay.ground.shapes[day["turns"][0]["bay"]]
            if first.distance(Point(day["test_at"])) > HAIR:
                broken.append(Broken("bond test", f"day {day['number']}: the test is made {first.distance(Point(day['test_at'])):.0f} mm off the first bay", day["number"]))
        elif day["turns"]:
            broken.append(Broken("bond test", f"day {day['number']} has no place for the bond test", day["number"]))
    return broken


def details(replay):
    """What others do ahead is done once for each bay, not after the day it is poured."""
    poured = {t["bay"]: day["number"] for day in replay.days["days"] for t in day["turns"]}
    done = [(bay, day["number"]) for day in replay.days["days"] for bay in day.get("details_of", [])]
    if (replay.programme.get("details") or "gang") == "gang":
        return [Broken("details", f"details of bay {bay} are done ahead, and the gangs do them") for bay, _ in done]
    broken = [Broken("details", f"details of bay {bay} are done on day {day}, it is poured on day {poured[bay]}", bay) for bay, day in done if bay in poured and day > poured[bay]]
    # Those done before the first day stand by themselves; a bay without details has nothing to be done.
    ahead = [bay for bay, _ in done] + list(replay.days.get("details_before", []))
    due = {w["bay"] for w in replay.days["bays"] if w["upstands"] or w["free_edges"] or w["joints"] or w["penetrations"] or w["pockets"] or w["outlets"]}
    if len(ahead) != len(set(ahead)) or set(ahead) != due:
        broken.append(Broken("details", "others do not do the details of every bay once"))
    return broken
