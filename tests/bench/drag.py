"""Times the layouts of the 4,054 m2 demo roof while a corner of it is dragged, in the browser's own worker.

In: BAYLAP_URL and BAYLAP_CHROMIUM. Out: a table. Must hold: the worker is spoken to as the page does, every plan differs from the
one before, and its own clock counts, so messages and drawing are not in the times: of the first answer, and of the whole search
with its proofs, the days and the protection sheet. The first plan, while the browser still compiles the engine, is not counted.
No time makes the program fail.
"""

from __future__ import annotations

import json
import os
import statistics

from playwright.sync_api import sync_playwright

from page import FLAGS
from ways import PLAN

#: Places of the corner, and milliseconds that a first answer and a whole search may take.
PLACES, FIRST_MS, WHOLE_MS = 9, 50.0, 2000.0

DRAG = """([plan, places]) => new Promise((done, fail) => {
    const worker = new Worker('./worker_loader.js', { type: 'module' });
    const told = [];
    const lay = revision => {
        plan.decks[0].ring[2].at[0] += 50;
        worker.postMessage(JSON.stringify({ Lay: { revision, plan } }));
    };
    worker.onerror = e => fail(new Error(e.message));
    worker.onmessage = e => {
        const word = JSON.parse(e.data);
        if (word.Ready) lay(0);
        if (!word.Laid) return;
        const { revision, millis, done: over } = word.Laid;
        told[revision] ??= { first: millis };
        if (!over) return;
        told[revision].whole = millis;
        if (revision < places) return lay(revision + 1);
        worker.terminate();
        done(told.slice(1));
    };
})"""


def show():
    if not os.environ.get("BAYLAP_URL"):
        return
    plan = json.loads(PLAN.read_text(encoding="utf-8"))["plan"]
    with sync_playwright() as playwright:
        path = os.environ.get("BAYLAP_CHROMIUM", "/usr/bin/chromium")
        browser = playwright.chromium.launch(executable_path=path, args=FLAGS)
        page = browser.new_page()
        page.goto(os.environ["BAYLAP_URL"])
        told = page.evaluate(DRAG, [plan, PLACES])
        browser.close()
    print(f"\nA corner of the courtyard demo dragged, browser worker, {PLACES} places.")
    print(f"  {'ms':16} {'median':>9} {'least':>9} {'most':>9}")
    for name, key, most in [("first answer", "first", FIRST_MS), ("whole search", "whole", WHOLE_MS)]:
        times = [t[key] for t in told]
        verdict = "PASS" if statistics.median(times) <= most else "OVER TARGET"
        print(f"  {name:16} {statistics.median(times):9.1f} {min(times):9.1f} {max(times):9.1f}  {verdict} (at most {most:g})")
