"""A browser on the built page.

In: BAYLAP_DIST (the built site; default dist/), BAYLAP_URL (when somebody serves it already), BAYLAP_CHROMIUM.
Out: pages of three sizes, each in a context of its own, so that no test sees another's store. A page on which the
program logs an error or throws fails its test, whatever else it checked.
"""

import functools
import http.server
import os
import threading
from pathlib import Path

import pytest
from playwright.sync_api import sync_playwright

from bowl import deck
from roof import Roof

ROOT = Path(__file__).resolve().parents[2]
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


class Handler(http.server.SimpleHTTPRequestHandler):
    """Static files with the types that browsers insist on."""

    extensions_map = {
        **http.server.SimpleHTTPRequestHandler.extensions_map,
        ".wasm": "application/wasm",
        ".js": "text/javascript",
    }

    def log_message(self, *_):
        pass


@pytest.fixture(scope="session")
def url():
    given = os.environ.get("BAYLAP_URL")
    if given:
        yield given.rstrip("/") + "/"
        return
    dist = Path(os.environ.get("BAYLAP_DIST", ROOT / "dist"))
    assert (dist / "index.html").is_file(), f"no built page in {dist}: build it with `cargo xtask build`"
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Handler, directory=dist))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}/"
    server.shutdown()


@pytest.fixture(scope="session")
def browser():
    with sync_playwright() as playwright:
        path = os.environ.get("BAYLAP_CHROMIUM", "/usr/bin/chromium")
        browser = playwright.chromium.launch(executable_path=path, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture
def open_roof(browser, url):
    """Opens the page and waits until it is ready for work; checks at the end that nothing went wrong on it."""
    opened = []

    def open_(width=1440, height=900, touch=False, scheme="light", before=None, laid=True, quiet=True):
        context = browser.new_context(
            viewport={"width": width, "height": height},
            has_touch=touch,
            is_mobile=touch,
            color_scheme=scheme,
            accept_downloads=True,
            # Each context is a device of its own: it would fetch the whole page once more to keep it. test_offline.py
            # lets it; that every other journey goes well shows that the page does without.
            service_workers="block",
        )
        page = context.new_page()
        page.set_default_timeout(20_000)
        wrongs = []
        page.on("pageerror", lambda error: wrongs.append(str(error)))
        page.on("console", lambda m: wrongs.append(m.text) if m.type == "error" else None)
        opened.append((context, wrongs, quiet))
        if before:
            before(page)
        page.goto(url)
        roof = Roof(page)
        if laid:
            roof.wait_laid()
        return roof

    yield open_
    complaints = []
    for context, wrongs, quiet in opened:
        context.close()
        if quiet:
            complaints += wrongs
    assert not complaints, complaints


@pytest.fixture
def bowl(open_roof, tmp_path):
    """A roof at the stage of the falls: without levels, or the plan given."""

    def open_(plan=None, **how):
        roof = open_roof(**how)
        roof.open_plan(plan or deck(), tmp_path)
        roof.stage("falls")
        if how.get("width", 1440) < 760:
            roof.page.get_by_role("button", name="Inputs").click()
        return roof

    return open_
