"""The order of the bays over the days, replayed: what it breaks and what it comes to.

In: a task (bays as sites, gangs, prices) and sites placed. Out: the laws and ties broken, and each figure of the score. Must
hold: nothing is taken from the project's code; the model is the documented one. A gang pours its bays of a day one after the
other, without a break; the order of a day is the order of beginning, the gang with the smaller number first; a bay longer than
the day of its gang fills one by itself. Law 9 of the method: from a bay, until it is done, there is a way to where people leave the
roof, over bays that no gang has begun by then on the same day; what was laid on days before may be walked on. It finds no order.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

#: Parts of a price that is by the 100 m in one that is by the metre, mm.
METRE, HUNDRED_METRES = 1000, 100_000


@dataclass(frozen=True)
class Broken:
    """What is wrong: the check that found it, what, and the site or bay it is about."""

    check: str
    what: str
    about: object = None
    error: float = 0.0


@dataclass(frozen=True)
class Placed:
    """A site placed; days, gangs and sites count from 0, minutes from the first pour of the day."""

    day: int
    start: int
    gang: int
    site: int
    end: int


@dataclass
class Task:
    """A job to be put in order."""

    #: Minutes by site and gang.
    minutes: list
    #: Walked with full buckets by site and gang, mm.
    haul: list
    #: For each site {other: (length, bad, above)}, mm.
    beside: list
    #: Sites that people leave the roof by.
    exits: frozenset
    #: For each site what it is tied to: day, gang, turn, None where it is not.
    ties: list
    #: Minutes of a day by gang.
    day: list
    prices: dict

    @property
    def sites(self):
        return range(len(self.minutes))

    def is_long(self, site, gang):
        """Whether a site takes the gang longer than a day."""
        return self.minutes[site][gang] > self.day[gang]


@dataclass
class Score:
    """What an order comes to; mm and numbers."""

    days: int = 0
    facing: int = 0
    joints: int = 0
    bad_joints: int = 0
    parted: int = 0
    left_behind: int = 0
    haul: int = 0
    broken: int = 0
    cost: int = 0
    #: By day, for the list of day joints: {(laid, next): (length, bad)}.
    by_day: list = field(default_factory=list)


def of_json(task) -> Task:
    """A task as the program reads it."""
    sites = task["sites"]
    ties = [site.get("tie") or {} for site in sites]
    return Task(
        [site["minutes"] for site in sites],
        [site["haul"] for site in sites],
        [{b["site"]: (b["length"], b["bad"], b["above"]) for b in site["beside"]} for site in sites],
        frozenset(i for i, site in enumerate(sites) if site["exit"]),
        [(tie.get("day"), tie.get("gang"), tie.get("turn")) for tie in ties],
        task["day"],
        task["prices"],
    )


def placed_of_json(answer):
    """The sites placed in an answer of the program."""
    return [Placed(p["day"], p["from"], p["gang"], p["site"], p["to"]) for p in answer["placed"]]


def in_order(placed):
    """The sites in the order they are begun."""
    return sorted(placed, key=lambda p: (p.day, p.start, p.gang))


def of_turns(task, turns):
    """Sites placed from the list of each gang on each day: {(day, gang): [site, ...]}."""
    placed = []
    for (day, gang), sites in turns.items():
        at = 0
        for site in sites:
            placed.append(Placed(day, at, gang, site, at + task.minutes[site][gang]))
            at += task.minutes[site][gang]
    return in_order(placed)


def judge(task, placed):
    """The laws and ties that an order breaks."""
    return each_once(task, placed) or turns(task, placed) + ways_off(task, placed) + ties(task, placed)


def each_once(task, placed):
    """Every site is placed once, nothing else is, and they stand in the order they are begun."""
    count = Counter(p.site for p in placed)
    broken = [Broken("once", f"site {site} is placed {count[site]} times", site) for site in task.sites if count[site] != 1]
    broken += [Broken("once", f"there is no site {site}", site) for site in count if site not in task.sites]
    broken += [Broken("once", f"there is no gang {p.gang}", p.site) for p in placed if p.gang not in range(len(task.day))]
    if not broken and list(placed) != in_order(placed):
        broken.append(Broken("once", "the sites do not stand in the order they are begun"))
    return broken


def turns(task, placed):
    """The bays of one gang on one day: as long as their work, one after the other without a break, within the day."""
    broken, lists = [], {}
    for p in placed:
        lists.setdefault((p.day, p.gang), []).append(p)
    for (day, gang), turn in sorted(lists.items()):
        free = 0
        for p in turn:
            if p.end - p.start != task.minutes[p.site][gang]:
                broken.append(Broken("minutes", f"site {p.site} takes gang {gang} {task.minutes[p.site][gang]} minutes, not {p.end - p.start}", p.site))
            if p.start != free:
                what = "before it has done the one before" if p.start < free else f"after a break of {p.start - free} minutes"
                broken.append(Broken("turns", f"day {day}: gang {gang} begins site {p.site} {what}", p.site, abs(p.start - free)))
            free = p.end
        if free > task.day[gang] and len(turn) > 1:
            broken.append(Broken("day", f"day {day} of gang {gang} takes {free} minutes, it has {task.day[gang]}", turn[-1].site, free - task.day[gang]))
    return broken


def reached(task, open_sites, exits=None):
    """The sites that a person gets to from where people leave the roof, over open ones alone."""
    found = {site for site in (task.exits if exits is None else exits) if site in open_sites}
    stack = list(found)
    while stack:
        for other in task.beside[stack.pop()]:
            if other in open_sites and other not in found:
                found.add(other)
                stack.append(other)
    return found


def ways_off(task, placed):
    """Law 9: each bay has a way off until it is done, over bays not begun by then on the same day. With one gang that is so when it
    is when the bay is begun; another gang can close the way later."""
    broken = []
    for p in placed:
        begun = {q.site for q in placed if q.day == p.day and q.start < p.end and q.site != p.site}
        if p.site not in reached(task, set(task.sites) - begun):
            broken.append(Broken("way off", f"site {p.site} has no way off when it is done on day {p.day}, over sites not begun that day", p.site))
    return broken


def ties(task, placed):
    """Sites tied to a day, a gang or a turn are there."""
    broken = []
    for turn, p in enumerate(placed):
        for name, tied, got in zip(("day", "gang", "turn"), task.ties[p.site], (p.day, p.gang, turn)):
            if tied is not None and tied != got:
                broken.append(Broken("tie", f"site {p.site} is tied to {name} {tied}, it is on {got}", p.site))
    return broken


def score(task, placed) -> Score:
    """What an order comes to, `broken` among it."""
    made, day_of = Score(), {p.site: p.day for p in placed}
    turn_of = {p.site: turn for turn, p in enumerate(placed)}
    made.days = 1 + max((p.day for p in placed), default=-1)
    for i in task.sites:
        for j, (length, bad, above) in task.beside[i].items():
            if turn_of[i] < turn_of[j]:
                made.facing += above
            if day_of[i] < day_of[j]:
                made.joints += length
                made.bad_joints += bad
    made.haul = sum(task.haul[p.site][p.gang] for p in placed)
    made.parted = parted(task, placed)
    made.left_behind = left_behind(task, day_of, made.days)
    made.broken = len(ways_off(task, placed)) + len(ties(task, placed))
    made.cost = cost(task.prices, made)
    return made


def parted(task, placed):
    """Groups beyond the first of the bays that one gang lays in one day; bays of one group hang together."""
    lists = {}
    for p in placed:
        lists.setdefault((p.day, p.gang), set()).add(p.site)
    return sum(len(groups(task, sites)) - 1 for sites in lists.values())


def groups(task, sites):
    """The sites in groups that hang together."""
    left, found = set(sites), []
    while left:
        group = reached(task, left, exits=[min(left)])
        found.append(group)
        left -= group
    return found


def left_behind(task, day_of, days):
    """Bays not laid at the end of a day from which no way off leads over bays that are not laid either; summed over the days."""
    count = 0
    for day in range(days):
        bare = {site for site in task.sites if day_of[site] > day}
        count += len(bare - reached(task, bare))
    return count


def cost(prices, s):
    """A score in money, hundredths: each price times its measure, the sum rounded once to the nearest, halves up."""
    by_metre = prices["facing_metre"] * s.facing + prices["joint_metre"] * s.joints + prices["bad_joint_metre"] * s.bad_joints
    shares = by_metre * (HUNDRED_METRES // METRE) + prices["haul"] * s.haul
    whole = prices["day"] * s.days + prices["parted"] * s.parted + prices["left_behind"] * s.left_behind
    return whole + (2 * shares + HUNDRED_METRES) // (2 * HUNDRED_METRES)
