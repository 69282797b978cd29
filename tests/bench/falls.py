"""Times falls and water: natively by number of levels, and in the browser's worker beside the same roof without levels.

In: BAYLAP_TIMED_FALLS (the built example `timed_falls`), and for the browser BAYLAP_URL and BAYLAP_CHROMIUM. Out: two
tables. Must hold: natively falls and verdicts are timed alone; in the worker the first answer is timed with levels and
nothing to lay, which is falls without verdicts, and beside it the first layout with the levels and without them. No time
makes the program fail.
"""

from __future__ import annotations

import json
import math
import os
import statistics
import subprocess

import plans
from page import in_the_browser

#: Numbers of levels, and that which is timed in the browser.
LEVELS, SHOWN = (500, 1000, 2000, 4000, 8000), 2000
#: Runs of one size in one turn, and turns; layouts in the browser.
RUNS, TURNS, VISITS = 3, 5, 7
#: Targets: milliseconds in the worker; the power of the number of levels that the time grows with.
AT_MOST_MS, AT_MOST_POWER = 100.0, 1.3


def show(folder):
    print("\nFalls: surface, ponds, catchments, outlets; verdicts on every bay edge and lap. Deck of 100 x 100 m.")
    medians, verdicts = native(folder)
    first, last = LEVELS[0], LEVELS[-1]
    power = math.log(medians[last] / medians[first]) / math.log(last / first)
    said = f"{'PASS' if power <= AT_MOST_POWER else 'OVER TARGET'} (at most {AT_MOST_POWER:g})"
    print(f"  From {first} to {last} levels the time grows with the power {power:.2f} of their number: {said}")
    if os.environ.get("BAYLAP_URL"):
        in_the_worker(verdicts)


def native(folder):
    """Number of levels -> median of falls and verdicts together, ms; and what verdicts add to the surface, a share.

    Sizes take turns.
    """
    files = {n: folder / f"levels-{n}.json" for n in LEVELS}
    for n, file in files.items():
        file.write_text(plans.levels_file(n))
    times, parts = {n: [] for n in LEVELS}, {}
    for _ in range(TURNS):
        for n, file in files.items():
            command = [os.environ["BAYLAP_TIMED_FALLS"], file, str(RUNS)]
            said = json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
            times[n] += [micros / 1000 for micros in said["all_us"]]
            parts.setdefault(n, []).append(said)
    medians = {n: statistics.median(t) for n, t in times.items()}
    print(f"  {'native, ms':>12} {'median':>9} {'least':>9} {'surface':>9} {'verdicts':>9} {'facets':>8} {'ponds':>6}")
    for n in LEVELS:
        part = lambda key: statistics.median(said[key] for said in parts[n]) / 1000
        row = f"{medians[n]:9.2f} {min(times[n]):9.2f} {part('surface_us'):9.2f} {part('verdicts_us'):9.2f}"
        print(f"  {n:5} levels {row} {parts[n][0]['facets']:8} {parts[n][0]['ponds']:6}")
    share = statistics.median(said["verdicts_us"] / said["surface_us"] for said in parts[SHOWN])
    return medians, share


def in_the_worker(verdicts):
    shifts = range(VISITS + 1)
    bare = in_the_browser([plans.levels_file(0, mm) for mm in shifts])
    alone = in_the_browser([plans.levels_file(SHOWN, mm, rolls=False) for mm in shifts])
    with_levels = in_the_browser([plans.levels_file(SHOWN, mm) for mm in shifts])
    cost = statistics.median(with_levels) - statistics.median(bare)
    print(f"  {'browser worker, ms: first layout':34} {'median':>9} {'least':>9}")
    nothing_laid = f"{SHOWN} levels, nothing to lay"
    for name, times in [("without levels", bare), (nothing_laid, alone), (f"with {SHOWN} levels", with_levels)]:
        print(f"  {name:34} {statistics.median(times):9.2f} {min(times):9.2f}")
    # Verdicts cannot be told apart in the worker: they add as much to the surface there as they do natively.
    falls_alone, least = (statistic(alone) * (1 + verdicts) for statistic in (statistics.median, min))
    said = f"{'PASS' if falls_alone < AT_MOST_MS else 'OVER TARGET'} (under {AT_MOST_MS:g} ms)"
    print(f"  {'falls and verdicts':34} {falls_alone:9.2f} {least:9.2f}  {said}")
    print(f"  {'what the levels cost the layout':34} {cost:9.2f} {min(with_levels) - min(bare):9.2f}")
