"""`baylap cut` and OR-Tools CP-SAT beside each other on packing instances with known optimum, in one run on one machine.

In: the packing instances and worked examples of the open reference data beside the repository (`../shared/data/cutting`;
OR-Library, class u120 of Falkenauer, MIT; small instances, MIT; textbook examples, source in each), the program (BAYLAP_BIN,
or target/release/baylap), OR-Tools (`requirements-cp-sat.txt`). Out: a table in markdown; every instance that ours does
not prove, by name. Must hold: both get the same pieces, in the same order; CP-SAT the textbook assignment model (piece i
in bin j, bin j open, bins opened in order, as many bins as first-fit decreasing needs, and its packing given as a hint), one worker, so many seconds; ours its
default steps and one process each, its start in the time. Seconds are of the processor, so that a busy machine takes nothing
from either. The program fails when an answer is wrong: below the optimum
that is known, or said to be proved and above it.

    python tests/bench/cp_sat.py [--seconds 30] [--only ours|cp-sat]
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import statistics
import subprocess
import sys
import threading
import time
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
DATA = ROOT.parent / "shared" / "data" / "cutting"


@dataclass
class Instance:
    """Pieces to be cut from stock of one length, and the fewest lengths that can hold them."""

    family: str
    name: str
    stock: int
    pieces: list
    optimum: int


@dataclass
class Found:
    """What a solver made of an instance."""

    lengths: int
    proved: bool
    seconds: float


def instances():
    """Every instance of the reference data."""
    for file, family in (("packing_u120", "OR-Library u120"), ("packing_small", "small")):
        for made in json.loads((DATA / f"{file}.json").read_text()):
            best = made["optimum"] or made["optimum_computed"]
            yield Instance(family, made["name"], made["capacity"], made["items"], best)
    for made in json.loads((DATA / "worked_examples.json").read_text()):
        pieces = [length for length, count in made["items"] for _ in range(count)]
        yield Instance("textbook", made["id"], made["stock"], pieces, made["computed"]["proven_optimum"])


def ours(instance, _seconds):
    """The program's answer, its process started anew."""
    program = os.environ.get("BAYLAP_BIN", ROOT / "target" / "release" / "baylap")
    command = [program, "cut", "--stock", str(instance.stock), "--offcut", "1", "--json", "-"]
    start = of_children()
    done = subprocess.run(command, input=json.dumps(instance.pieces), capture_output=True, text=True, check=True)
    seconds = of_children() - start
    made = json.loads(done.stdout)
    cuts = [[cut["pieces"][0]["length"] for cut in one["cuts"]] for one in made["lengths"]]
    assert sorted(sum(cuts, [])) == sorted(instance.pieces), f"{instance.name}: pieces lost"
    assert all(sum(cut) <= instance.stock for cut in cuts), f"{instance.name}: a length overfull"
    assert made["totals"]["lengths"] == len(cuts) >= made["totals"]["lengths_least"], instance.name
    return Found(len(cuts), made["totals"]["proved"], seconds)


def of_children():
    """Processor seconds of all programs run so far."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def cp_sat(instance, limit):
    """The assignment model."""
    from ortools.sat.python import cp_model

    start = time.process_time()
    model = cp_model.CpModel()
    packing = first_fit_decreasing(instance)
    bins = range(max(packing) + 1)
    opened = [model.new_bool_var(f"open {j}") for j in bins]
    placed = [[model.new_bool_var(f"piece {i} in {j}") for j in bins] for i in range(len(instance.pieces))]
    for row, bin_of in zip(placed, packing):
        model.add_exactly_one(row)
        for j, variable in enumerate(row):
            model.add_hint(variable, j == bin_of)
    for j in bins:
        model.add(sum(length * row[j] for length, row in zip(instance.pieces, placed)) <= instance.stock * opened[j])
    for before, after in zip(opened, opened[1:]):
        model.add_implication(after, before)
    model.minimize(sum(opened))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    over = threading.Event()
    threading.Thread(target=stop_at, args=(solver, start + limit, over), daemon=True).start()
    status = solver.solve(model)
    over.set()
    seconds = time.process_time() - start
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        # Nothing found: first-fit decreasing is what one would be left with, and it is not counted as solved.
        return Found(0, False, seconds)
    return Found(round(solver.objective_value), status == cp_model.OPTIMAL, seconds)


def stop_at(solver, end, over):
    """Stops a search once the process has had its seconds."""
    while not over.wait(0.05):
        if time.process_time() >= end:
            solver.stop_search()
            return


def first_fit_decreasing(instance):
    """The bin of each piece, longest first into the first bin with room."""
    rooms, packing = [], [0] * len(instance.pieces)
    for i in sorted(range(len(instance.pieces)), key=lambda i: -instance.pieces[i]):
        piece = instance.pieces[i]
        at = next((j for j, room in enumerate(rooms) if room >= piece), len(rooms))
        if at == len(rooms):
            rooms.append(instance.stock)
        rooms[at] -= piece
        packing[i] = at
    return packing


SOLVERS = {"ours": ours, "cp-sat": cp_sat}


def main():
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--seconds", type=float, default=30.0)
    asked.add_argument("--only", choices=SOLVERS)
    asked = asked.parse_args()
    solvers = {asked.only: SOLVERS[asked.only]} if asked.only else SOLVERS
    rows, unproved, wrong = {}, [], []
    for instance in instances():
        for name, solve in solvers.items():
            # 97 + 610 + 395 + 211 pieces in 485 bins make no model anybody would solve: the textbook ones are ours alone.
            if name == "cp-sat" and instance.family == "textbook":
                continue
            found = solve(instance, asked.seconds)
            print(f"{name} {instance.name}: {found}, optimum {instance.optimum}", file=sys.stderr, flush=True)
            rows.setdefault((instance.family, name), []).append((instance, found))
            if name == "ours" and not found.proved:
                unproved.append(f"{instance.name}: {found.lengths}, optimum {instance.optimum}")
            if 0 < found.lengths < instance.optimum or found.proved and found.lengths != instance.optimum:
                wrong.append(f"{name}, {instance.name}: {found}, optimum {instance.optimum}")
    show(rows, asked.seconds)
    print("\nNot proved by ours: " + ("; ".join(unproved) or "none") + ".")
    sys.exit("\n".join(wrong) or None)


def show(rows, limit):
    """The table."""
    print("| instances | solver | solved (optimum reached) | proved | median time | longest |")
    print("|---|---|---:|---:|---:|---:|")
    names = {"ours": "`baylap cut`", "cp-sat": f"CP-SAT, 1 worker, {limit:g} s"}
    for (family, name), found in rows.items():
        times = [f.seconds for _, f in found]
        solved = sum(f.lengths == instance.optimum for instance, f in found)
        proved = sum(f.proved for _, f in found)
        of = len(found)
        print(f"| {family} | {names[name]} | {solved} of {of} | {proved} of {of} | {clock(statistics.median(times))} | {clock(max(times))} |")


def clock(seconds):
    return f"{seconds * 1000:.0f} ms" if seconds < 1 else f"{seconds:.1f} s"


if __name__ == "__main__":
    main()
