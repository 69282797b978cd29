"""Times a comparison of 24 ways of laying the 4,054 m2 demo roof: natively, and in the browser's own worker.

In: BAYLAP_TIMED_WAYS (the built example `timed_ways`), and for the browser BAYLAP_URL and BAYLAP_CHROMIUM. Out: a table.
Must hold: two times are told, until every way is laid and held against the others, and until those that no other beats are
searched to their end; the worker is spoken to as the page does, and its own clock counts, so messages are not in them. No
time makes the program fail.
"""

from __future__ import annotations

import itertools
import json
import os
import statistics
import subprocess
from pathlib import Path

from playwright.sync_api import sync_playwright

from page import FLAGS

PLAN = Path(__file__).resolve().parents[2] / "demo-data" / "05-courtyard.json"
#: Runs natively and in the browser; milliseconds that every way may take to be laid.
RUNS, VISITS, AT_MOST_MS = 3, 3, 2000.0

#: Lays a plan to the end, then compares; times are those that the worker tells.
COMPARE = """([plan, ways]) => new Promise((done, fail) => {
    const worker = new Worker('./worker_loader.js', { type: 'module' });
    let allLaid = null;
    worker.onerror = e => fail(new Error(e.message));
    worker.onmessage = e => {
        const word = JSON.parse(e.data);
        if (word.Ready) worker.postMessage(JSON.stringify({ Lay: { revision: 1, plan } }));
        if (word.Laid?.done) worker.postMessage(JSON.stringify({ Compare: { revision: 1, ways } }));
        if (!word.Compared) return;
        const { progress, millis, done: over } = word.Compared;
        if (allLaid === null && progress.laid === progress.ways) allLaid = millis;
        if (over) { worker.terminate(); done({ allLaid, millis, ...progress }); }
    };
})"""


def show():
    plan = json.loads(PLAN.read_text(encoding="utf-8"))["plan"]
    ways = ways_of()
    print(f"\nComparing {len(ways)} ways of laying the courtyard demo, with the way that stands.")
    print(f"  {'ms':16} {'all laid':>9} {'least':>9} {'over':>9}  searched to the end")
    told = [json.loads(native()) for _ in range(RUNS)]
    row("native", [t["all_laid_ms"] for t in told], [t["over_ms"] for t in told], told[0]["searched_to_the_end"])
    if os.environ.get("BAYLAP_URL"):
        told = in_the_worker(plan, ways)
        laid = [t["allLaid"] for t in told]
        said = "PASS" if statistics.median(laid) <= AT_MOST_MS else "OVER TARGET"
        row("browser worker", laid, [t["millis"] for t in told], f"{told[0]['whole']}  {said} (all laid in {AT_MOST_MS:g})")


def row(name, laid, over, whole):
    print(f"  {name:16} {statistics.median(laid):9.0f} {min(laid):9.0f} {statistics.median(over):9.0f}  {whole}")


def native():
    command = [os.environ["BAYLAP_TIMED_WAYS"], PLAN]
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def in_the_worker(plan, ways):
    with sync_playwright() as playwright:
        path = os.environ.get("BAYLAP_CHROMIUM", "/usr/bin/chromium")
        browser = playwright.chromium.launch(executable_path=path, args=FLAGS)
        page = browser.new_page()
        page.goto(os.environ["BAYLAP_URL"])
        # The first compiles the engine: it is not counted.
        told = [page.evaluate(COMPARE, [plan, ways]) for _ in range(VISITS + 1)]
        browser.close()
    return told[1:]


def ways_of():
    """The same number as natively, of the same aspects: directions, sides, cut or run on, courses in a bay, gangs."""
    values = [[0, 90_000], ["right", "left"], ["cut", "run_on"], [3, 4], [1, 2]]
    keys = ["direction_mdeg", "start", "laying", "courses_per_bay", "gangs"]
    rest = {"roll": None, "melter": None}
    return [dict(zip(keys, combination)) | rest for combination in itertools.product(*values)][:24]
