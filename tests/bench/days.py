"""Times the putting in order of the bays over the days: natively by itself, in the browser's worker within a whole search.

In: BAYLAP_TIMED_ORDER (the built example `timed_order`), and for the browser BAYLAP_URL and BAYLAP_CHROMIUM. Out: a table. Must
hold: natively the order is timed alone. In the worker it cannot be told apart from the rest of the search: that is timed as a
whole, and the order is taken to be as much slower there as the whole is; it says so. No time makes the program fail.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess

import plans
from page import in_the_browser

#: Runs natively; searches in the browser.
RUNS, VISITS = 9, 3
#: Target: milliseconds in the worker.
AT_MOST_MS = 300.0


def show(folder):
    file = folder / "bays.json"
    file.write_text(plans.bays_file())
    command = [os.environ["BAYLAP_TIMED_ORDER"], file, str(RUNS)]
    said = json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
    median, least, whole = (said[key] / 1000 for key in ("median_us", "least_us", "searched_us"))
    print(f"\nDays: {said['bays']} bays put in order with {said['gangs']} gangs, {said['days']} days, {said['broken']} broken.")
    print(f"  {'ms':34} {'median':>9} {'least':>9}")
    print(f"  {'order alone, native':34} {median:9.2f} {least:9.2f}")
    print(f"  {'whole search, native, once':34} {whole:9.2f}")
    if os.environ.get("BAYLAP_URL"):
        times = in_the_browser([plans.bays_file(mm) for mm in range(VISITS + 1)], searched=True)
        searched = statistics.median(times)
        there = median * searched / whole
        verdict = f"{'PASS' if there < AT_MOST_MS else 'OVER TARGET'} (under {AT_MOST_MS:g} ms)"
        print(f"  {'whole search, browser worker':34} {searched:9.2f} {min(times):9.2f}")
        print(f"  {'order there, by the same share':34} {there:9.2f} {'':9}  {verdict}")
