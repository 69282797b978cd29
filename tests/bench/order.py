"""`baylap order` and OR-Tools CP-SAT beside each other on jobs of bays to be put in order, in one run on one machine.

In: jobs drawn by lot as the judges draw them (`tests/judge/days_tasks.py`), the program (BAYLAP_BIN, or target/release/baylap),
OR-Tools (`requirements-cp-sat.txt`). Out: a table in markdown; every job where the answers differ, by name. Must hold: every
answer of either is replayed by the judges' own model; small jobs, up to 9 sites, CP-SAT solves to the end, and so do the sets of
`tests/judge/days_exact.py`: the optimum must be one, and ours where it says proved; larger ones it gets so many seconds, one
worker, and a hint of its own: ours must cost no more than 5 % more. Seconds are of the processor. The program fails when one of
these does not hold.

    python tests/bench/order.py [--seconds 60] [--small 200] [--large 16] [--only cp-sat] [--answers FOLDER]

With a folder for answers CP-SAT's are kept there, one file a job, and not looked for again: a run that was stopped goes on where it
was, and ours can be measured anew without waiting.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import math
import resource
import statistics
import sys
import threading
import time
from dataclasses import dataclass
from pathlib import Path

from ortools.sat.python import cp_model

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "judge"))

import days_exact  # noqa: E402
import days_order  # noqa: E402
import days_tasks  # noqa: E402

#: Ours may cost so much more than what CP-SAT found.
WORSE = 0.05


class Model:
    """A job as constraints: the day, the gang and the begin of each site, and for each pair which is begun before the other."""

    def __init__(self, task, days):
        self.task, self.days, self.model = task, days, cp_model.CpModel()
        self.n, self.gangs = len(task.minutes), len(task.day)
        self.longest = max(max(task.day), max(m for row in task.minutes for m in row)) + 1
        self.places()
        self.orders()
        self.day_lengths()
        for site in range(self.n):
            self.way_off(site)
        self.ties()
        self.model.minimize(self.cost())

    def bool(self, name):
        return self.model.new_bool_var(name)

    def both(self, a, b, name):
        """A variable that is true just when two are."""
        made = self.bool(name)
        self.model.add_bool_and([a, b]).only_enforce_if(made)
        self.model.add_bool_or([a.Not(), b.Not(), made])
        return made

    def places(self):
        """The day and the gang of each site."""
        m, sites = self.model, range(self.n)
        self.on = [[[self.bool(f"{i} on {d} by {g}") for g in range(self.gangs)] for d in range(self.days)] for i in sites]
        self.day = [m.new_int_var(0, self.days - 1, f"day {i}") for i in sites]
        self.by = [[self.bool(f"{i} by {g}") for g in range(self.gangs)] for i in sites]
        #: Laid at the end of a day.
        self.laid = [[self.bool(f"{i} laid by {d}") for d in range(self.days)] for i in sites]
        for i in sites:
            m.add_exactly_one(v for row in self.on[i] for v in row)
            m.add(self.day[i] == sum(d * v for d, row in enumerate(self.on[i]) for v in row))
            for g in range(self.gangs):
                m.add(self.by[i][g] == sum(row[g] for row in self.on[i]))
            for d in range(self.days):
                m.add(self.laid[i][d] == sum(v for row in self.on[i][: d + 1] for v in row))
        self.last = m.new_int_var(0, self.days - 1, "last")
        m.add_max_equality(self.last, self.day)
        if all(tie[0] is None for tie in self.task.ties):
            # A day without work costs and is good for nothing.
            for d in range(1, self.days):
                for i in sites:
                    m.add(sum(v for j in sites for v in self.on[j][d - 1]) >= sum(self.on[i][d]))

    def orders(self):
        """Begins, and the order of beginning."""
        m, task = self.model, self.task
        self.start = [m.new_int_var(0, self.longest, f"start {i}") for i in range(self.n)]
        most = self.days * (self.longest + 1) * self.gangs
        place = [m.new_int_var(0, most, f"place {i}") for i in range(self.n)]
        for i in range(self.n):
            gang = sum(g * v for g, v in enumerate(self.by[i]))
            m.add(place[i] == (self.day[i] * (self.longest + 1) + self.start[i]) * self.gangs + gang)
        self.before, self.same_day, earlier = {}, {}, {i: [] for i in range(self.n)}
        for i in range(self.n):
            for j in range(i + 1, self.n):
                first = self.bool(f"{i} before {j}")
                m.add(place[i] + 1 <= place[j]).only_enforce_if(first)
                m.add(place[j] + 1 <= place[i]).only_enforce_if(first.Not())
                self.before[i, j], self.before[j, i] = first, first.Not()
                same = self.bool(f"{i} and {j} in a day")
                m.add(self.day[i] == self.day[j]).only_enforce_if(same)
                m.add(self.day[i] < self.day[j]).only_enforce_if([same.Not(), first])
                m.add(self.day[j] < self.day[i]).only_enforce_if([same.Not(), first.Not()])
                self.same_day[i, j] = self.same_day[j, i] = same
        self.just_before = {}
        for i, j in self.before:
            self.just_before[i, j] = self.both(self.before[i, j], self.same_day[i, j], f"{i} before {j} in a day")
            for g in range(self.gangs):
                turn = self.bool(f"{i} before {j} in a day by {g}")
                parts = [self.just_before[i, j], self.by[i][g], self.by[j][g]]
                m.add_bool_and(parts).only_enforce_if(turn)
                m.add_bool_or([*(p.Not() for p in parts), turn])
                earlier[j].append(task.minutes[i][g] * turn)
        for i in range(self.n):
            # Without a break: a site begins when those of its gang before it on its day are done.
            m.add(self.start[i] == sum(earlier[i]))

    def day_lengths(self):
        """What fits in a day; a bay longer than one has it for itself."""
        m, task = self.model, self.task
        for d in range(self.days):
            for g in range(self.gangs):
                m.add(sum(task.minutes[i][g] * self.on[i][d][g] for i in range(self.n) if not task.is_long(i, g)) <= task.day[g])
                for i in range(self.n):
                    if task.is_long(i, g):
                        for j in range(self.n):
                            if j != i:
                                m.add_implication(self.on[i][d][g], self.on[j][d][g].Not())

    def way_off(self, site):
        """A way from a site to where people leave the roof: a circuit through a place outside, over sites not begun on its day
        until it is done."""
        m, task = self.model, self.task
        if site in task.exits:
            return
        outside, arcs = self.n, []
        arcs.append((outside, site, m.new_constant(1)))
        done = self.start[site] + sum(task.minutes[site][g] * self.by[site][g] for g in range(self.gangs))
        for i in range(self.n):
            if i != site:
                off = self.bool(f"way of {site} not over {i}")
                m.add_implication(off.Not(), self.just_before[i, site].Not())
                if self.gangs > 1:
                    m.add(self.start[i] >= done).only_enforce_if([off.Not(), self.same_day[i, site]])
                arcs.append((i, i, off))
            if i in task.exits:
                arcs.append((i, outside, self.bool(f"way of {site} ends at {i}")))
            arcs += [(i, j, self.bool(f"way of {site} from {i} to {j}")) for j in task.beside[i] if j != site]
        m.add_circuit(arcs)

    def ties(self):
        m = self.model
        for i, (day, gang, turn) in enumerate(self.task.ties):
            if day is not None:
                m.add(self.day[i] == day)
            if gang is not None:
                m.add(self.by[i][gang] == 1)
            if turn is not None:
                m.add(sum(self.before[j, i] for j in range(self.n) if j != i) == turn)

    def cost(self):
        """The cost in shares of a hundred thousandth."""
        task, p, terms = self.task, self.task.prices, []
        for i in range(self.n):
            for j, (length, bad, above) in task.beside[i].items():
                if above:
                    terms.append(100 * p["facing_metre"] * above * self.before[i, j])
                if i < j and (length or bad):
                    terms.append(100 * (p["joint_metre"] * length + p["bad_joint_metre"] * bad) * (1 - self.same_day[i, j]))
            terms += [p["haul"] * task.haul[i][g] * self.by[i][g] for g in range(self.gangs)]
        terms.append(100_000 * p["day"] * (self.last + 1))
        terms.append(100_000 * p["parted"] * self.parted())
        terms.append(100_000 * p["left_behind"] * self.left_behind())
        return sum(terms)

    def parted(self):
        """Groups beyond the first by day and gang: the sites of one are trees, as few as may be."""
        m, count = self.model, []
        for g in range(self.gangs):
            level = [m.new_int_var(0, self.n, f"level {i} by {g}") for i in range(self.n)]
            roots = [[self.bool(f"root {i} {d} {g}") for i in range(self.n)] for d in range(self.days)]
            for i in range(self.n):
                arcs = []
                for j in self.task.beside[i]:
                    arc = self.bool(f"{i} hangs on {j} by {g}")
                    m.add_implication(arc, self.by[i][g])
                    m.add_implication(arc, self.by[j][g])
                    m.add_implication(arc, self.same_day[i, j])
                    m.add(level[i] >= level[j] + 1).only_enforce_if(arc)
                    arcs.append(arc)
                for d in range(self.days):
                    m.add_implication(roots[d][i], self.on[i][d][g])
                m.add(sum(arcs) + sum(roots[d][i] for d in range(self.days)) == self.by[i][g])
            for d in range(self.days):
                used = self.bool(f"day {d} of {g} used")
                m.add_max_equality(used, [self.on[i][d][g] for i in range(self.n)])
                more = m.new_int_var(0, self.n, f"more groups on {d} of {g}")
                m.add(sum(roots[d]) == used + more)
                count.append(more)
        return sum(count)

    def left_behind(self):
        """Sites bare at the end of a day without a way off over bare ones."""
        m, count = self.model, []
        for d in range(self.days - 1):
            level = [m.new_int_var(0, self.n, f"level {i} at the end of {d}") for i in range(self.n)]
            reached = [self.bool(f"{i} reached at the end of {d}") for i in range(self.n)]
            for i in range(self.n):
                m.add_implication(reached[i], self.laid[i][d].Not())
                left = self.bool(f"{i} left behind on {d}")
                m.add_bool_or([self.laid[i][d], reached[i], left])
                count.append(left)
                if i in self.task.exits:
                    continue
                arcs = []
                for j in self.task.beside[i]:
                    arc = self.bool(f"{i} reached over {j} at the end of {d}")
                    m.add_implication(arc, reached[j])
                    m.add(level[i] >= level[j] + 1).only_enforce_if(arc)
                    arcs.append(arc)
                m.add_bool_or([*arcs, reached[i].Not()])
        return sum(count)

    def hint(self, placed):
        """Gives the search an order to begin with."""
        turn = {p.site: k for k, p in enumerate(placed)}
        for p in placed:
            for d in range(self.days):
                for g in range(self.gangs):
                    self.model.add_hint(self.on[p.site][d][g], d == p.day and g == p.gang)
        for i in range(self.n):
            for j in range(i + 1, self.n):
                self.model.add_hint(self.before[i, j], turn[i] < turn[j])

    def placed(self, solver):
        """The order found."""
        found = []
        for i in range(self.n):
            day, gang = next((d, g) for d, row in enumerate(self.on[i]) for g, v in enumerate(row) if solver.value(v))
            start = solver.value(self.start[i])
            found.append(days_order.Placed(day, start, gang, i, start + self.task.minutes[i][gang]))
        return days_order.in_order(found)


def plain_order(task):
    """An order that breaks no law, found without looking far: of the sites that leave those left a way off, the one furthest from
    it, by the gang that is free first; a new day when nothing fits. Ties are not looked at."""
    far, bare, placed, day = steps_off(task), set(task.sites), [], 0
    while bare:
        spent, today = [0] * len(task.day), []
        stopped = [False] * len(task.day)
        while bare and not all(stopped):
            gang = min((g for g in range(len(task.day)) if not stopped[g]), key=lambda g: (spent[g], g))
            turns = [days_order.Placed(day, spent[gang], gang, s, spent[gang] + task.minutes[s][gang]) for s in bare]
            fits = [p.site for p in turns if (p.start == 0 or p.end <= task.day[gang]) and not days_order.ways_off(task, [*today, p])]
            keeps = [s for s in fits if len(days_order.reached(task, bare - {s})) == len(bare) - 1] or fits
            if not keeps:
                stopped[gang] = True
                continue
            site = max(keeps, key=lambda s: (far[s], -s))
            today.append(next(p for p in turns if p.site == site))
            spent[gang] += task.minutes[site][gang]
            bare.discard(site)
        placed += today
        day += 1
    return days_order.in_order(placed)


def steps_off(task):
    """Sites between each one and a way off."""
    far, frontier = {site: 0 for site in task.exits}, list(task.exits)
    while frontier:
        frontier = [j for i in frontier for j in task.beside[i] if j not in far and not far.update({j: far[i] + 1})]
    return far


@dataclass
class Found:
    """What a solver made of a job: its order, what it costs in hundredths, and what no order costs less than."""

    placed: list
    cost: int | None
    least: int
    proved: bool
    seconds: float


def cp_sat(task, limit):
    """CP-SAT's answer within so many seconds of the processor; None where it says that there is none."""
    start = time.process_time()
    tied = [tie[0] + 1 for tie in task.ties if tie[0] is not None]
    plain = plain_order(task)
    days = plain[-1].day + 1 if len(task.minutes) > 9 and not tied else days_exact.last_day(task)
    made = Model(task, days)
    made.hint(plain)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    # Found by trying: without linear relaxations small jobs are proved ten times sooner, and of large ones better orders found.
    solver.parameters.linearization_level = 0
    over = threading.Event()
    threading.Thread(target=stop_at, args=(solver, start + limit, over), daemon=True).start()
    status = solver.solve(made.model)
    over.set()
    seconds = time.process_time() - start
    if status == cp_model.INFEASIBLE:
        return Found([], None, 0, True, seconds)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Found([], None, 0, False, seconds)
    placed = made.placed(solver)
    least = rounded(math.ceil(solver.best_objective_bound - 1e-6))
    score = days_order.score(task, placed)
    assert not days_order.judge(task, placed), days_order.judge(task, placed)
    stated = rounded(round(solver.objective_value))
    # Before it is done its trees may have a root too many.
    assert score.cost == stated or score.cost < stated and status == cp_model.FEASIBLE, f"CP-SAT states {stated}, its order costs {score.cost}"
    return Found(placed, score.cost, least, status == cp_model.OPTIMAL, seconds)


def rounded(shares):
    """Shares of a hundred thousandth as whole hundredths, halves up."""
    return (2 * shares + 100_000) // 200_000


def stop_at(solver, end, over):
    """Stops a search once the process has had its seconds."""
    while not over.wait(0.05):
        if time.process_time() >= end:
            solver.stop_search()
            return


def ours(task_json):
    """The program's answer, its process started anew."""
    start = of_children()
    answer = days_tasks.answers({"": task_json})[""]
    seconds = of_children() - start
    task, placed = days_order.of_json(task_json), days_order.placed_of_json(answer)
    assert not days_order.each_once(task, placed) + days_order.turns(task, placed), days_order.judge(task, placed)
    stated, score = answer["score"], days_order.score(task, placed)
    for name in ("days", "facing", "joints", "bad_joints", "parted", "left_behind", "haul", "broken", "cost"):
        assert stated[name] == getattr(score, name), f"{name} is {stated[name]}, by replay {getattr(score, name)}"
    return Found(placed, score.cost if score.broken == 0 else None, stated["least"], stated["proved"], seconds)


def of_children():
    """Processor seconds of all programs run so far."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def jobs(small, large):
    """Jobs by kind."""
    made = {}
    for gangs in (1, 2):
        for name, task in days_tasks.tasks(small // 2, 2, 9, (gangs,), seed=10 + gangs).items():
            made["up to 9", gangs, name] = task
        for k, most in enumerate((20, 30, 40, 60)):
            for name, task in days_tasks.tasks(large // 8, most, most, (gangs,), seed=100 + 10 * k + gangs, tied=False).items():
                made[f"{most}", gangs, name] = task
    return made


def main():
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--seconds", type=float, default=60.0)
    asked.add_argument("--small", type=int, default=200)
    asked.add_argument("--large", type=int, default=16)
    asked.add_argument("--only", choices=["cp-sat"])
    asked.add_argument("--answers", type=Path, help="a folder: keeps CP-SAT's costs there, and takes them from it the next time")
    asked = asked.parse_args()
    rows, wrong = {}, []
    for (size, gangs, name), made in jobs(asked.small, asked.large).items():
        task = days_order.of_json(made)
        theirs = kept(made, asked.seconds if size != "up to 9" else 300.0, asked.answers)
        mine = ours(made) if asked.only is None else None
        print(f"{name}, {len(task.minutes)} sites, {gangs} gangs: CP-SAT {theirs.cost} ({theirs.least}, {theirs.seconds:.1f} s), ours {mine and (mine.cost, mine.least, mine.proved)}", file=sys.stderr, flush=True)
        rows.setdefault((size, gangs), []).append((theirs, mine))
        wrong += [f"{name}: {what}" for what in compared(size, task, theirs, mine)]
    show(rows, asked.seconds)
    sys.exit("\n".join(wrong) or None)


def kept(task_json, seconds, folder):
    """CP-SAT's answer, from the folder if it is there; its order is not kept."""
    asked = hashlib.sha256(json.dumps([task_json, seconds], sort_keys=True).encode()).hexdigest()[:24]
    file = folder and folder / f"{asked}.json"
    if file and file.is_file():
        return Found([], **json.loads(file.read_text()))
    found = cp_sat(days_order.of_json(task_json), seconds)
    if file:
        folder.mkdir(parents=True, exist_ok=True)
        named = {"cost": found.cost, "least": found.least, "proved": found.proved, "seconds": found.seconds}
        file.write_text(json.dumps(named))
    return found


def compared(size, task, theirs, mine):
    """What is wrong between the answers."""
    if size == "up to 9":
        broken, exact = days_exact.by_subsets(task)
        exact = None if broken else exact
        if not theirs.proved or theirs.cost != exact:
            yield f"CP-SAT finds {theirs.cost}, proved {theirs.proved}; the sets {exact}"
        if mine and mine.proved and mine.cost != exact:
            yield f"ours is said to be proved at {mine.cost}, the optimum is {exact}"
        if mine and mine.cost != exact:
            yield f"ours is {mine.cost}, the optimum is {exact}"
        if mine and exact is not None and mine.least > exact:
            yield f"no order is said to cost less than {mine.least}, one costs {exact}"
    elif mine:
        if theirs.cost is not None and (mine.cost is None or mine.cost > (1 + WORSE) * theirs.cost):
            yield f"ours is {mine.cost}, CP-SAT finds {theirs.cost}"
        if theirs.cost is not None and mine.least > theirs.cost:
            yield f"no order is said to cost less than {mine.least}, CP-SAT finds one of {theirs.cost}"
        # CP-SAT's bound is of orders in as many days as its hint has.
        if mine.cost is not None and mine.placed[-1].day <= plain_order(task)[-1].day and mine.cost < theirs.least:
            yield f"ours of {mine.cost} lies below CP-SAT's bound {theirs.least}"


def show(rows, limit):
    """The table."""
    print("| sites | gangs | jobs | proved by ours | by CP-SAT | ours cheaper, same, dearer | ours to CP-SAT's, median | worst | ours, longest | CP-SAT, median |")
    print("|---|---:|---:|---:|---:|---|---:|---:|---:|---:|")
    for (size, gangs), pairs in rows.items():
        both = [(t, m) for t, m in pairs if m and t.cost is not None and m.cost is not None]
        ratios = [m.cost / t.cost if t.cost else 1.0 for t, m in both] or [float("nan")]
        less, more = sum(m.cost < t.cost for t, m in both), sum(m.cost > t.cost for t, m in both)
        proved = sum(m.proved for _, m in pairs if m), sum(t.proved for t, _ in pairs)
        longest = max((m.seconds for _, m in pairs if m), default=float("nan"))
        print(
            f"| {size} | {gangs} | {len(pairs)} | {proved[0]} | {proved[1]} | {less}, {len(both) - less - more}, {more} | "
            f"{statistics.median(ratios):.4f} | {max(ratios):.4f} | {1000 * longest:.0f} ms | {statistics.median(t.seconds for t, _ in pairs):.1f} s |"
        )
    print(f"\nCP-SAT: one worker, {limit:g} s where there are more than 9 sites.")


if __name__ == "__main__":
    main()
