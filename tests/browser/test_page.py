"""The page itself: demos, tables linked with the drawing, schemes, bad files, broken stores, a missing engine, print."""

import json
from pathlib import Path

import pytest
from roof import holds

ROOT = Path(__file__).resolve().parents[2]
DEMOS = [d["file"] for d in json.loads((ROOT / "demo-data" / "index.json").read_text(encoding="utf-8"))]


@pytest.mark.parametrize("file", DEMOS)
def test_every_invented_job_opens_and_is_laid(open_roof, file):
    roof = open_roof()
    roof.begin_drawing()
    before = roof.board.get_attribute("data-revision")
    roof.begin()
    roof.page.locator(f"[data-demo='{file}']").click()
    roof.page.wait_for_function(
        "before => document.querySelector('[data-testid=board]').dataset.revision !== before", arg=before
    )
    roof.wait_laid()
    assert roof.ledger("rolls") >= 1
    assert roof.ledger("bays") >= 1
    assert holds(roof.plan(), json.loads((ROOT / "demo-data" / file).read_text(encoding="utf-8"))["plan"])


def test_tables_and_drawing_are_linked_both_ways(open_roof):
    roof = open_roof()
    page = roof.page
    page.locator("[data-ledger=bays]").click()
    page.locator("#row-bay-2").click()
    assert page.get_by_test_id("selected-title").inner_text().lower().startswith("bay 2")
    assert page.locator(".mark.selected").count() >= 1
    assert page.locator("#row-bay-2").get_attribute("aria-selected") == "true"

    # From the drawing to the table: at the stage of the days a click finds the bay under it.
    roof.stage("days")
    page.keyboard.press("Escape")
    layout = roof.layout()
    bay = layout["bays"][3]
    page.get_by_role("button", name="Show the whole plan").click()
    roof.click(bay["label"][0] + 300, bay["label"][1] + 150)
    assert page.locator(f"#row-bay-{bay['number']}").get_attribute("aria-selected") == "true"


def test_the_box_finds_bays_and_commands(open_roof):
    roof = open_roof()
    page = roof.page
    page.keyboard.press("Control+k")
    page.locator("#find-box").fill("bay 1")
    page.keyboard.press("Enter")
    assert page.get_by_test_id("selected-title").inner_text().lower().startswith("bay 1")
    page.keyboard.press("Control+k")
    page.locator("#find-box").fill("stage falls")
    page.keyboard.press("Enter")
    assert roof.board.get_attribute("data-stage") == "falls"


def test_a_survey_that_does_not_close_says_by_how_much(open_roof):
    """The L-shape of a published exercise in closing a traverse by hand: misclosure 10 mm by 15 mm, 18 mm in all."""
    roof = open_roof()
    page = roof.page
    roof.begin()
    page.locator(".way", has_text="Type a tape survey").click()
    for length, turn in [
        ("24.000", "Left 90°"),
        ("9.015", "Left 90°"),
        ("10.000", "Right 90°"),
        ("6.000", "Left 90°"),
        ("14.010", "Left 90°"),
        ("15.000", "Left 90°"),
    ]:
        page.get_by_text(turn, exact=True).first.click()
        page.locator("#survey-length").fill(length)
        page.locator("#survey-length").press("Enter")
    closing = page.get_by_test_id("closing").inner_text()
    assert "0.018 m" in closing and "-0.010 m" in closing and "0.015 m" in closing
    page.get_by_role("button", name="Make the deck").click()
    roof.wait_laid()
    (deck,) = roof.plan()["decks"]
    assert len(deck["ring"]) == 7, "the gap is a side of its own, and no right angle is bent"


@pytest.mark.parametrize("scheme", ["light", "dark", "sun"])
def test_words_can_be_read_in_every_scheme(open_roof, scheme):
    """WCAG 2.2, 1.4.3: text against its ground at least 4.5 to 1. Colours are resolved by the browser's own canvas."""
    roof = open_roof()
    roof.page.evaluate("name => document.documentElement.setAttribute('data-scheme', name)", scheme)
    roof.page.locator("[data-ledger=findings]").click()
    ratios = roof.contrasts()
    assert len(ratios) > 40
    assert [r for r in ratios if r[1] < 4.5] == []


def test_the_system_s_dark_scheme_is_followed(open_roof):
    roof = open_roof(scheme="dark")
    lightness = roof.page.evaluate(
        """() => { const c = document.createElement('canvas').getContext('2d'); c.fillStyle = getComputedStyle(document.body).backgroundColor;
            c.fillRect(0, 0, 1, 1); return [...c.getImageData(0, 0, 1, 1).data].slice(0, 3); }"""
    )
    assert max(lightness) < 60


@pytest.mark.parametrize("file", ["truncated.json", "empty.json", "newer-version.json", "not-a-number.json"])
def test_a_bad_file_is_refused_in_one_sentence_and_the_plan_stays(open_roof, file):
    roof = open_roof()
    before = roof.plan()
    roof.page.locator("#open-file").set_input_files(ROOT / "demo-data" / "bad" / file)
    said = roof.page.get_by_test_id("say")
    said.wait_for()
    assert file in said.inner_text()
    assert roof.plan() == before


def test_a_finding_is_listed_and_shows_its_place(open_roof):
    """An outline that crosses itself opens; the finding names it, and a click selects what it is about."""
    roof = open_roof()
    roof.page.locator("#open-file").set_input_files(ROOT / "demo-data" / "bad" / "self-crossing.json")
    roof.page.wait_for_function("() => document.querySelector('[data-ledger=findings] .error b').textContent !== '0'")
    roof.page.locator("[data-ledger=findings]").click()
    first = roof.page.locator(".findings-list .finding").first
    assert "Error" in first.inner_text()
    first.click()
    assert roof.page.locator(".mark.selected").count() >= 1


def test_a_plan_file_goes_out_and_comes_back(open_roof, tmp_path):
    roof = open_roof()
    download = roof._download(lambda: roof._find("Save the plan file"))
    path = tmp_path / "job.baylap.json"
    download.save_as(path)
    plan = roof.plan()
    roof.begin_drawing()
    assert roof.plan()["decks"] == []
    roof.page.locator("#open-file").set_input_files(path)
    roof.page.locator(".thing", has_text="Deck").wait_for()
    roof.wait_laid()
    assert roof.plan() == plan


def test_a_store_that_refuses_is_said_plainly_and_files_still_work(open_roof):
    def refuse(page):
        page.add_init_script(
            "IDBFactory.prototype.open = () => { throw new DOMException('full', 'QuotaExceededError'); };"
        )

    roof = open_roof(before=refuse)
    assert "refuses to keep the job" in roof.page.get_by_test_id("say").inner_text()
    assert roof.plan()["decks"]


def test_without_its_engine_the_page_still_draws_and_saves(open_roof):
    def cut(page):
        page.route("**/worker_loader.js*", lambda route: route.abort())

    roof = open_roof(before=cut, laid=False, quiet=False)
    roof.page.get_by_text("The planner does not start in this browser.").wait_for()
    wait_for_job(roof)
    assert roof.plan()["decks"]


def test_a_second_tab_does_not_overwrite_the_first(open_roof):
    """What one tab wrote is never overwritten by another that has not seen it."""
    roof = open_roof()
    rename(roof, "One (invented)")
    roof.wait_saved()
    second = roof.page.context.new_page()
    second.goto(roof.page.url)
    other = type(roof)(second)
    other.wait_laid()
    rename(other, "Two (invented)")
    other.wait_saved()
    rename(roof, "Three (invented)")
    roof.page.get_by_text("This job was changed in another tab").wait_for()
    other.page.reload()
    other.wait_laid()
    assert other.plan()["job"]["name"] == "Two (invented)"


def rename(roof, name):
    roof.stage("sheets")
    box = roof.page.locator("[data-field='job.name']")
    box.fill(name)
    box.press("Enter")


def test_the_browser_s_print_holds_job_drawing_and_pieces(open_roof, tmp_path):
    from pypdf import PdfReader

    roof = open_roof()
    plan, layout = roof.plan(), roof.layout()
    path = tmp_path / "print.pdf"
    roof.page.pdf(path=path, prefer_css_page_size=True)
    reader = PdfReader(path)
    words = "\n".join(p.extract_text() for p in reader.pages)
    assert plan["job"]["name"] in words
    assert f"{layout['totals']['rolls']} rolls" in words
    assert "Drawn for 1:" in words


@pytest.mark.parametrize("width,height", [(320, 640), (390, 844), (760, 1000), (1024, 768), (1440, 900), (2560, 1440)])
def test_nothing_sticks_out_at_any_width(open_roof, width, height):
    roof = open_roof(width=width, height=height)
    assert roof.page.evaluate("document.documentElement.scrollWidth") <= width
    board = roof.board.bounding_box()
    assert board["width"] >= min(width, 420) - 10 and board["height"] >= height * 0.4
    ledger = roof.page.get_by_test_id("ledger").bounding_box()
    assert ledger["y"] + ledger["height"] <= height + 1, "the ledger is in sight"


def test_controls_have_names_and_fields_have_labels(open_roof):
    """WCAG 2.2, 4.1.2: every button and field has a name that a screen reader can say."""
    roof = open_roof()
    for stage in ["deck", "falls", "rolls", "days", "sheets"]:
        roof.stage(stage)
        nameless = roof.page.evaluate(
            """() => [...document.querySelectorAll('button, input:not([type=file]), select, textarea')]
                .filter(e => e.checkVisibility())
                .filter(e => !(e.getAttribute('aria-label') || e.textContent.trim() || e.labels?.length || e.title))
                .map(e => e.outerHTML.slice(0, 120))"""
        )
        assert nameless == []


def test_the_focus_is_never_trapped(open_roof):
    """Tab leaves the board and comes round again."""
    roof = open_roof()
    page = roof.page
    roof.board.focus()
    seen = set()
    for _ in range(120):
        page.keyboard.press("Tab")
        seen.add(page.evaluate("document.activeElement.id || document.activeElement.textContent.slice(0, 20)"))
    assert len(seen) > 15
    assert "board" in seen


FALSE_WORKER = """
const build = new URL(self.location.href).searchParams.get('v');
postMessage(JSON.stringify({Ready: {protocol: PROTOCOL, build: BUILD}}));
onmessage = () => { setTimeout(() => { throw new Error('invented failure'); }, 0); };
"""


def wait_for_job(roof):
    """Until the demo job is open: it is fetched beside the engine's start, and may come after it."""
    roof.page.wait_for_function("() => document.querySelector('[data-testid=job-name]')?.textContent.includes('invented')")


def false_worker(page, times, build="build", protocol="6"):
    """Answers the first requests for the worker with one that greets and then dies at its first plan."""
    left = [times]

    def serve(route):
        if left[0] > 0:
            left[0] -= 1
            body = FALSE_WORKER.replace("PROTOCOL", protocol).replace("BUILD", build)
            route.fulfill(status=200, content_type="text/javascript", body=body)
        else:
            route.continue_()

    page.route("**/worker_loader.js*", serve)


def test_an_engine_that_dies_is_started_again_and_the_plan_is_kept(open_roof):
    roof = open_roof(before=lambda page: false_worker(page, 1), laid=False, quiet=False)
    said = roof.page.get_by_test_id("say")
    said.wait_for()
    assert "The planner stopped on this plan and was started again" in said.inner_text()
    assert "invented" in roof.page.get_by_test_id("job-name").inner_text()
    rename(roof, "After the failure (invented)")
    roof.wait_laid()
    assert roof.ledger("rolls") > 0
    assert roof.plan()["job"]["name"] == "After the failure (invented)"


def test_an_engine_of_another_build_is_not_talked_to(open_roof):
    roof = open_roof(before=lambda page: false_worker(page, 9, build="'another'"), laid=False, quiet=False)
    roof.page.get_by_text("of two different builds").wait_for()
    assert roof.board.get_attribute("data-laid-revision") == ""
    wait_for_job(roof)
    assert roof.plan()["decks"], "drawing and saving go on"


def test_a_layout_that_comes_late_is_dropped(open_roof):
    """A worker answers an old plan only after a new job was opened: the old layout never shows."""
    slow = """
    const build = new URL(self.location.href).searchParams.get('v');
    postMessage(JSON.stringify({Ready: {protocol: 6, build}}));
    onmessage = event => {
      const {Lay} = JSON.parse(event.data);
      if (!Lay) return;
      const totals = {deck_area: 0, measured_area: 0, field_area: 0, pieces: 0, bays: Lay.plan.decks.length ? 77 : 0,
        cut_length: 0, side_lap_length: 0, end_laps: 0, rolls: 0, rolls_least: 0, proved: false, roll_area: 0,
        waste: {laps: 0, trim: 0, scrap: 0, offcuts: 0}, membrane_kg: 0, blocks: 0, primer_litres: 0, primer_tins: 0,
        sheet_area: 0, sheet_rolls: 0, upstand_area: 0};
      const details = {upstands: [], free_edges: 0, joints: 0, penetrations: 0, pockets: 0, outlets: 0};
      const layout = {format: 'baylap-layout', version: 1, job: '', zones: [], bays: [], pieces: [], rolls: [], details, totals, findings: []};
      setTimeout(() => postMessage(JSON.stringify({Laid: {revision: Lay.revision, layout, millis: 1, steps: 1, done: true}})), 1500);
    };
    """
    fulfil = lambda route: route.fulfill(status=200, content_type="text/javascript", body=slow)
    roof = open_roof(before=lambda page: page.route("**/worker_loader.js*", fulfil), laid=False)
    wait_for_job(roof)
    roof.begin_drawing()
    seen = set()
    for _ in range(40):
        seen.add(roof.ledger("bays"))
        roof.page.wait_for_timeout(100)
    assert 77 not in seen
    roof.wait_laid()


def test_when_the_page_itself_fails_the_plan_can_still_be_saved(open_roof):
    """A trap in the program, as the browser reports it: one sentence and the last good plan as a file."""
    roof = open_roof(quiet=False)
    rename(roof, "Kept through it (invented)")
    roof.page.evaluate("setTimeout(() => { throw new WebAssembly.RuntimeError('unreachable'); }, 0)")
    sheet = roof.page.locator(".broken")
    sheet.wait_for()
    assert "has stopped working" in sheet.inner_text()
    download = roof._download(lambda: sheet.get_by_text("Save the plan file").click())
    plan = json.loads(Path(download.path()).read_text(encoding="utf-8"))["plan"]
    assert plan["job"]["name"] == "Kept through it (invented)"
    assert plan["decks"]


def test_an_earlier_version_comes_back(open_roof):
    roof = open_roof()
    rename(roof, "Earlier (invented)")
    roof.wait_saved()
    before = roof.plan()
    roof.begin_drawing()
    assert roof.plan()["decks"] == []
    roof.page.get_by_role("button", name="Job", exact=True).click()
    roof.page.get_by_role("button", name="Earlier versions").click()
    roof.page.locator("dialog.earlier .demo").first.click()
    roof.page.locator(".thing", has_text="Deck").wait_for()
    roof.wait_laid()
    assert roof.plan() == before


def test_a_file_dropped_on_the_page_opens(open_roof):
    roof = open_roof()
    words = (ROOT / "demo-data" / "01-canopy.json").read_text(encoding="utf-8")
    transfer = roof.page.evaluate_handle(
        """words => { const d = new DataTransfer(); d.items.add(new File([words], 'canopy.json', {type: 'application/json'})); return d; }""",
        words,
    )
    before = roof.board.get_attribute("data-revision")
    roof.page.dispatch_event("body", "drop", {"dataTransfer": transfer})
    roof.page.wait_for_function(
        "before => document.querySelector('[data-testid=board]').dataset.revision !== before", arg=before
    )
    roof.wait_laid()
    assert holds(roof.plan(), json.loads(words)["plan"])
