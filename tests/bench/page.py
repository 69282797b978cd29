"""Has the page lay plans and reads how long the engine took.

In: plan files as text, each another plan than the one before (or the page has nothing to lay); BAYLAP_URL and
BAYLAP_CHROMIUM. Out: milliseconds that the worker measured with its own clock round the engine alone, of the first layout
or of the whole search: no message, no drawing is in them. Must hold: every plan is opened as a user opens a file, and the time read is of that plan's layout.
The browser rounds its clock to a tenth of a millisecond.
"""

from __future__ import annotations

import os

from playwright.sync_api import sync_playwright

FLAGS = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"]

#: The plan shown is laid; `before` is the revision that was on the board.
LAID = """before => {
    const board = document.querySelector('[data-testid=board]')?.dataset;
    return board && board.revision !== before && board.laidRevision === board.revision;
}"""


#: Its search has come to its end.
SEARCHED = """before => {
    const board = document.querySelector('[data-testid=board]')?.dataset;
    return board && board.revision !== before && board.searchedRevision === board.revision;
}"""


def in_the_browser(files, searched=False):
    with sync_playwright() as playwright:
        path = os.environ.get("BAYLAP_CHROMIUM", "/usr/bin/chromium")
        browser = playwright.chromium.launch(executable_path=path, args=FLAGS)
        page = browser.new_page()
        page.set_default_timeout(60_000)
        page.goto(os.environ["BAYLAP_URL"])
        page.wait_for_function(LAID, arg="")
        # The first is laid while the browser still compiles the engine: it is not counted.
        times = [lay(page, text, searched) for text in files]
        browser.close()
    return times[1:]


def lay(page, text, searched=False):
    board = page.get_by_test_id("board")
    before = board.get_attribute("data-revision")
    page.locator("#open-file").set_input_files(
        {"name": "timed.json", "mimeType": "application/json", "buffer": text.encode()}
    )
    page.wait_for_function(SEARCHED if searched else LAID, arg=before)
    return float(board.get_attribute("data-searched-ms" if searched else "data-laid-ms"))
