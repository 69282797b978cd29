"""The page opens again without a signal: kept on the device, built anew, refused by the browser.

Judged from outside: the network of the browser is cut (or its server stopped) before each reload, and what was recorded is
read back from the plan file that the page hands out. A newer build is made by hand: the same files under another name of
the build, so that which of the two answers can be seen.
"""

import functools
import hashlib
import http.server

import os
import shutil
import threading
from pathlib import Path

import pytest
from conftest import Handler
from roof import Roof

ROOT = Path(__file__).resolve().parents[2]
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}


@pytest.fixture
def site(tmp_path):
    """A copy of the page in a folder of a host, so that a newer one can be put in its place; and its address."""
    dist = Path(os.environ.get("BAYLAP_DIST", ROOT / "dist"))
    folder = tmp_path / "jobs" / "planner"
    shutil.copytree(dist, folder)
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Handler, directory=tmp_path))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield folder, f"http://127.0.0.1:{server.server_port}/jobs/planner/"
    server.shutdown()
    server.server_close()


@pytest.fixture
def phone(browser):
    """Contexts of a phone that keeps pages; nothing may go wrong on them but what a missing signal brings."""
    contexts, wrongs = [], []

    def open_(address, **how):
        context = browser.new_context(**PHONE, accept_downloads=True, **how)
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(20_000)
        page.on("pageerror", lambda error: wrongs.append(str(error)))
        page.goto(address)
        roof = Roof(page)
        roof.wait_laid()
        return context, roof

    yield open_
    for context in contexts:
        context.close()
    assert not wrongs, wrongs


def menu(roof):
    roof.page.get_by_role("button", name="Job", exact=True).click()
    return roof.page.get_by_test_id("kept").first


def wait_kept(roof, state="ready"):
    line = menu(roof)
    roof.page.wait_for_function(
        "state => document.querySelector('[data-testid=kept]').dataset.kept === state", arg=state, timeout=60_000
    )
    words = line.inner_text()
    roof.page.keyboard.press("Escape")
    return words


def record_weather(roof, air):
    """A record as it is made on the roof; gives back how many there are then."""
    page = roof.page
    page.get_by_test_id("thumb-today").tap()
    page.get_by_test_id("today").wait_for()
    page.locator("#weather-air").fill(air)
    page.locator("#weather-humidity").fill("60")
    page.locator("#weather-deck").fill("14")
    page.get_by_test_id("weather-enter").click()
    page.get_by_test_id("today-said").wait_for()
    page.keyboard.press("Escape")
    roof.wait_saved()
    return roof.plan()["records"]


def test_the_page_opens_again_without_a_signal(site, phone):
    _, address = site
    context, roof = phone(address)
    page = roof.page
    assert wait_kept(roof) == "Opens without a signal on this device."
    bays = roof.ledger("bays")
    context.set_offline(True)
    page.reload()
    roof.wait_laid()
    assert roof.ledger("bays") == bays and wait_kept(roof).startswith("Opens without")

    records = record_weather(roof, "12,5")
    assert len(records) == 1
    page.reload()
    roof.wait_laid()
    again = roof.plan()["records"]
    assert again == records

    # An invented job, its laying and its sheet, from the device alone.
    before = roof.board.get_attribute("data-revision")
    roof.begin()
    page.locator("[data-demo='05-courtyard.json']").click()
    page.wait_for_function(
        "before => document.querySelector('[data-testid=board]').dataset.revision !== before", arg=before
    )
    roof.wait_laid()
    assert roof.ledger("bays") > bays
    # The tab dropped by the phone: a new page of the same browser.
    page.close()
    page = context.new_page()
    page.set_default_timeout(20_000)
    page.goto(address + "index.html?from=home")
    roof = Roof(page)
    roof.wait_laid()
    assert roof.ledger("bays") > bays


def test_every_file_of_the_build_is_kept(site, phone):
    folder, address = site
    context, roof = phone(address)
    wait_kept(roof)
    files = {p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()} - {"offline.js"}
    context.set_offline(True)
    lost = roof.page.evaluate(
        "names => Promise.all(names.map(n => fetch('./' + n).then(r => r.ok ? null : n, () => n)))", sorted(files)
    )
    assert len(files) > 20 and not [name for name in lost if name]
    assert roof.page.evaluate("fetch('./no-such-file').then(() => true, () => false)") is False


def sleb(half):
    """Eight letters as the program holds them where it compares them at once: a constant of WebAssembly."""
    value, out = int.from_bytes(half.encode(), "little"), bytearray()
    while True:
        low, value = value & 127, value >> 7
        if value == 0 and not low & 64:
            return bytes([*out, low])
        out.append(low | 128)


def newer(folder, spoil=None):
    """The same page under another name of its build: page, worker and list say so. Gives back both names."""
    program = folder / "offline.js"
    text = program.read_text(encoding="utf-8")
    old = text.split('const BUILD = "')[1].split('"')[0]
    # Other first letters of both halves: constants keep their length.
    other = lambda half: ("1" if half[0] != "1" else "2") + half[1:]
    halves = [(old[i : i + 8], other(old[i : i + 8])) for i in (0, 8)]
    new = "".join(pair[1] for pair in halves)
    text = text.replace(old, new)

    def renamed(path, change):
        nonlocal text
        before = path.read_bytes()
        after = change(before)
        assert before != after
        path.write_bytes(after)
        sums = [hashlib.sha256(b).hexdigest() for b in (before, after)]
        assert sums[0] in text
        text = text.replace(*sums)

    def wasm(data):
        data = data.replace(old.encode(), new.encode())
        for pair in halves:
            data = data.replace(*(b"\x42" + sleb(half) for half in pair))
        return data

    for path in sorted(folder.glob("*.wasm")):
        renamed(path, wasm)
    # The preloads of the page hold sums of their own; they are hints that the page does without.
    index = lambda data: data.split(b'<link rel="modulepreload"')[0] + b"</head><body></body></html>\n"
    renamed(folder / "index.html", index)
    if spoil:
        (folder / spoil).write_bytes(b"of a third build")
    program.write_text(text, encoding="utf-8")
    return old, new


def build_of(page):
    """The build that the page and its worker are of, by the address of the worker."""
    names = page.evaluate("performance.getEntriesByType('resource').map(e => e.name)")
    return {n.split("?v=")[1] for n in names if "worker_loader.js?v=" in n}


def test_a_newer_build_waits_until_it_is_taken(site, phone):
    folder, address = site
    context, roof = phone(address)
    page = roof.page
    wait_kept(roof)
    old, new = newer(folder)
    page.reload()
    roof.wait_laid()
    assert build_of(page) == {old}, "the page opens as it was kept"
    sentence = page.get_by_test_id("newer")
    sentence.wait_for(timeout=60_000)
    assert "newer build" in sentence.inner_text()
    assert build_of(page) == {old}, "nothing changes under the page"
    records = record_weather(roof, "11")

    # Not while another tab would be left with half of each.
    other = context.new_page()
    other.goto(address)
    Roof(other).wait_laid()
    sentence.get_by_role("button", name="Take it now").click()
    page.wait_for_function("document.querySelector('[data-testid=newer]').textContent.includes('another tab')")
    assert build_of(page) == {old} and build_of(other) == {old}
    other.close()
    with page.expect_navigation():
        sentence.get_by_role("button", name="Take it now").click()
    roof.wait_laid()
    assert build_of(page) == {new}
    assert roof.plan()["records"] == records
    context.set_offline(True)
    page.reload()
    roof.wait_laid()
    assert build_of(page) == {new} and roof.plan()["records"] == records


def test_a_newer_build_comes_by_itself_when_the_page_is_opened_anew(site, phone):
    folder, address = site
    context, roof = phone(address)
    wait_kept(roof)
    old, new = newer(folder)
    roof.page.reload()
    roof.page.get_by_test_id("newer").wait_for(timeout=60_000)
    roof.page.close()
    page = context.new_page()
    # The browser lets go of a closed page in its own time.
    page.wait_for_timeout(2_000)
    page.goto(address)
    Roof(page).wait_laid()
    assert build_of(page) == {new} != {old}


def test_half_of_a_newer_build_is_never_kept(site, phone):
    """A host in the middle of being filled: one file is not the one that the list means."""
    folder, address = site
    context, roof = phone(address)
    wait_kept(roof)
    old, _ = newer(folder, spoil="worker_bg.wasm")
    roof.page.reload()
    roof.wait_laid()
    roof.page.wait_for_timeout(3_000)
    assert roof.page.get_by_test_id("newer").count() == 0
    context.set_offline(True)
    roof.page.reload()
    roof.wait_laid()
    assert build_of(roof.page) == {old}


def test_a_browser_that_keeps_nothing_still_opens_the_page(site, phone):
    _, address = site
    _, roof = phone(address, service_workers="block")
    assert roof.ledger("bays") >= 1
    line = menu(roof)
    assert line.get_attribute("data-kept") == "no"
    assert line.inner_text().startswith("Not kept on this device")
