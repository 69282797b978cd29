"""The best order of a small job, found in two plain ways.

In: a task of `days_order`. Out: the fewest laws and ties that any order breaks, and the least cost of those that break no more;
no order puts more into a day than it holds. Must hold: `by_trial` goes through every order and scores each by replay; `by_subsets` goes through sets of
bays laid so far, and never replays. They share no code with each other but for the task. Neither is quick: up to 5 sites by
trial, up to 9 by subsets.
"""

from __future__ import annotations

import itertools

import days_order

#: What a broken law or tie weighs in shares of a hundred thousandth: more than any order costs.
LAW = 10**18
NEVER = 10**30


def by_trial(task, days=None):
    """Every way to put the sites, in any order, into the days of the gangs: ((broken, cost), placed)."""
    n, gangs = len(task.minutes), len(task.day)
    days = days or last_day(task)
    best = None
    for order in itertools.permutations(range(n)):
        for cuts in itertools.combinations_with_replacement(range(n + 1), days * gangs - 1):
            ends = (0, *cuts, n)
            turns = {(k // gangs, k % gangs): order[a:b] for k, (a, b) in enumerate(zip(ends, ends[1:])) if a < b}
            if any(len(sites) > 1 and sum(task.minutes[s][gang] for s in sites) > task.day[gang] for (_, gang), sites in turns.items()):
                continue
            placed = days_order.of_turns(task, turns)
            made = days_order.score(task, placed)
            if best is None or (made.broken, made.cost) < best[0]:
                best = ((made.broken, made.cost), placed)
    return best


def last_day(task):
    """Days that an order may need: one a site behind the last day tied."""
    tied = [tie[0] + 1 for tie in task.ties if tie[0] is not None]
    return max([len(task.minutes), *tied]) if not tied else max(tied) + len(task.minutes)


class Subsets:
    """The best order by sets of sites, as numbers whose bits are sites. Costs are shares of a hundred thousandth. When strict, orders
    that break a law or a tie are not gone through at all."""

    def __init__(self, task, strict):
        self.strict, self.task, self.n, self.gangs = strict, task, len(task.minutes), len(task.day)
        self.full = (1 << self.n) - 1
        self.near = [sum(1 << j for j in around) for around in task.beside]
        self.doors = sum(1 << site for site in task.exits)
        self.open_from = {}

    def best(self):
        """(broken, cost in whole hundredths); None where strict and none is without fault."""
        days, ends = last_day(self.task), self.days_of_work()
        by_day = any(tie[0] is not None for tie in self.task.ties)
        reached = {0: 0}
        best = NEVER
        for day in range(days):
            following = {}
            for laid, cost in reached.items():
                for today, work in ends.items():
                    if today & laid or (today == 0 and not by_day):
                        continue
                    made = cost + self.one_day(laid, today, work) + LAW * self.days_missed(today, day)
                    if self.strict and made >= LAW:
                        continue
                    if made < following.get(laid | today, NEVER):
                        following[laid | today] = made
            best = min(best, following.pop(self.full, NEVER))
            reached = following
        if best >= NEVER:
            return None
        broken, cost = divmod(best, LAW)
        return broken, (2 * cost + 100_000) // 200_000

    def days_missed(self, today, day):
        """Sites laid on a day that are tied to another."""
        return sum(self.task.ties[site][0] not in (None, day) for site in bits(today))

    def one_day(self, laid, today, work):
        """What a day adds to the cost."""
        task, prices = self.task, self.task.prices
        bare = self.full & ~(laid | today)
        made = 100_000 * (prices["day"] + prices["left_behind"] * (bare & ~self.over(bare)).bit_count())
        for i in bits(today):
            for j, (length, bad, above) in task.beside[i].items():
                if bare >> j & 1:
                    made += 100 * (prices["joint_metre"] * length + prices["bad_joint_metre"] * bad + prices["facing_metre"] * above)
        before = laid.bit_count()
        return made + min(cost + LAW * sum(before + turn != wanted for turn, wanted in turns) for turns, cost in work.items())

    def over(self, bare):
        """The sites reached from a way off over some sites alone."""
        if bare not in self.open_from:
            found = frontier = bare & self.doors
            while frontier:
                step = 0
                for i in bits(frontier):
                    step |= self.near[i]
                frontier = step & bare & ~found
                found |= frontier
            self.open_from[bare] = found
        return self.open_from[bare]

    def days_of_work(self):
        """Sets that the gangs can lay in one day together: {set: {turns of its tied sites: least cost within the day}}."""
        # (sets of the gangs, gangs that have stopped, turns of tied sites, sites under way) -> least cost of laps that face within
        # the day.
        layer = {((0,) * self.gangs, (False,) * self.gangs, (), (None,) * self.gangs): 0}
        ends: dict = {}
        while layer:
            following = {}
            for (sets, stopped, turns, under_way), cost in layer.items():
                if all(stopped):
                    self.end(ends, sets, turns, cost)
                    continue
                # The gang that is free first begins next, or is done for the day.
                gang = min((g for g in range(self.gangs) if not stopped[g]), key=lambda g: (self.time(sets[g], g), g))
                now_stopped = put(stopped, gang, True)
                self.keep(following, (sets, now_stopped, turns, self.still(sets, now_stopped, under_way)), cost)
                for site, state, more in self.begun(sets, stopped, (turns, under_way), gang):
                    self.keep(following, state, cost + more)
            layer = following
        return ends

    def begun(self, sets, stopped, noted, gang):
        """What the gang may begin next: (site, state, cost of laps that come to face the water)."""
        task, today, (turns, under_way) = self.task, 0, noted
        for one in sets:
            today |= one
        spent = self.time(sets[gang], gang)
        for site in range(self.n):
            if today >> site & 1:
                continue
            if sets[gang] and spent + task.minutes[site][gang] > task.day[gang]:
                continue
            now = put(under_way, gang, site)
            shut = [g for g, other in enumerate(now) if other is not None and self.is_shut_in(other, today | 1 << site)]
            law = LAW * (len(shut) + (task.ties[site][1] not in (None, gang)))
            if self.strict and law:
                continue
            facing = sum(task.beside[i][site][2] for i in bits(today & self.near[site]))
            tied = task.ties[site][2]
            noted = turns if tied is None else (*turns, (today.bit_count(), tied))
            made = put(sets, gang, sets[gang] | 1 << site)
            # What is shut in counts once.
            now = tuple(None if g in shut else other for g, other in enumerate(now))
            yield site, (made, stopped, noted, self.still(made, stopped, now)), law + 100 * task.prices["facing_metre"] * facing

    def is_shut_in(self, site, begun):
        """Whether a site has no way off over sites not begun."""
        return not self.over(self.full & ~begun | 1 << site) >> site & 1

    def still(self, sets, stopped, under_way):
        """The sites under way when the next one is begun: those of gangs that are done later than the first that goes on."""
        free = [self.time(sets[g], g) for g in range(self.gangs) if not stopped[g]]
        return tuple(site if free and self.time(sets[g], g) > min(free) else None for g, site in enumerate(under_way))

    def end(self, ends, sets, turns, cost):
        """A day's work done: with its parted groups and its hauls."""
        task, today = self.task, 0
        for gang, one in enumerate(sets):
            today |= one
            cost += 100_000 * task.prices["parted"] * max(0, self.pieces(one) - 1)
            cost += sum(task.prices["haul"] * task.haul[site][gang] for site in bits(one))
        self.keep(ends.setdefault(today, {}), turns, cost)

    def pieces(self, sites):
        """Number of groups that hang together."""
        count = 0
        while sites:
            group = frontier = sites & -sites
            while frontier:
                step = 0
                for i in bits(frontier):
                    step |= self.near[i]
                frontier = step & sites & ~group
                group |= frontier
            sites &= ~group
            count += 1
        return count

    def time(self, sites, gang):
        return sum(self.task.minutes[site][gang] for site in bits(sites))

    @staticmethod
    def keep(table, key, cost):
        if cost < table.get(key, NEVER):
            table[key] = cost


def bits(sites):
    """The sites of a set."""
    while sites:
        low = sites & -sites
        yield low.bit_length() - 1
        sites ^= low


def put(values, at, value):
    """A tuple with one value changed."""
    return (*values[:at], value, *values[at + 1 :])


def by_subsets(task):
    """(broken, cost) of the best order."""
    return Subsets(task, True).best() or Subsets(task, False).best()
