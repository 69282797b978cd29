"""The page itself: demos, tables linked with the drawing, schemes, bad files, broken stores, a missing engine, print."""

import json
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DEMOS = [d["file"] for d in json.loads((ROOT / "demo-data" / "index.json").read_text(encoding="utf-8"))]


@pytest.mark.parametrize("file", DEMOS)
def test_every_invented_job_opens_and_is_laid(open_roof, file):
    roof = open_roof()
    roof.begin()
    roof.page.locator(f"[data-demo='{file}']").click()
    want = json.loads((ROOT / "demo-data" / file).read_text(encoding="utf-8"))["plan"]["job"]["name"]
    roof.page.wait_for_function(
        "name => document.querySelector('[data-testid=job-name]').textContent === name", arg=want
    )
    roof.wait_laid()
    assert roof.ledger("rolls") >= 1
    assert roof.ledger("bays") >= 1


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
    ratios = roof.page.evaluate(
        """() => {
            const context = Object.assign(document.createElement('canvas'), {width: 1, height: 1}).getContext('2d', {willReadFrequently: true});
            const rgb = colour => { context.clearRect(0, 0, 1, 1); context.fillStyle = colour; context.fillRect(0, 0, 1, 1); return [...context.getImageData(0, 0, 1, 1).data]; };
            const light = ([r, g, b]) => [r, g, b].map(v => v / 255).map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)
                .reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
            const ground = element => { for (; element; element = element.parentElement) { const c = rgb(getComputedStyle(element).backgroundColor); if (c[3] === 255) return c; } return [255, 255, 255, 255]; };
            const out = [];
            for (const element of document.querySelectorAll('body *')) {
                const words = [...element.childNodes].some(n => n.nodeType === 3 && n.textContent.trim());
                if (!words || element.closest('svg') || !element.checkVisibility() || element.closest('[disabled]')) continue;
                const [a, b] = [light(rgb(getComputedStyle(element).color)), light(ground(element))];
                const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
                out.push([element.textContent.trim().slice(0, 40), Math.round(ratio * 100) / 100]);
            }
            return out;
        }"""
    )
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
    first = roof.page.locator(".finding").first
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
    roof.page.wait_for_function("() => document.querySelector('[data-testid=job-name]').textContent.includes('invented')")
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
