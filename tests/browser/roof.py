"""What a test does on the page, in the words of the trade; the page's stable hooks are named here and nowhere else.

Plans and layouts are read back through the files that the page hands out, so that what is judged is what a user gets.
"""

import json
import re


class Roof:
    def __init__(self, page):
        self.page = page
        self.board = page.get_by_test_id("board")

    # Waiting ------------------------------------------------------------

    def wait_laid(self):
        """The layout shown is that of the plan shown, and the search for a better one is over."""
        self.page.wait_for_function(
            """() => {
                const board = document.querySelector('[data-testid=board]');
                return board && board.dataset.laidRevision !== '' && board.dataset.laidRevision === board.dataset.revision
                    && board.dataset.searchedRevision === board.dataset.revision;
            }"""
        )

    def wait_first(self):
        """Some layout of the plan shown is there: the first answer, or a better one."""
        self.page.wait_for_function(
            """() => {
                const board = document.querySelector('[data-testid=board]');
                return board.dataset.laidRevision !== '' && board.dataset.laidRevision === board.dataset.revision;
            }"""
        )

    def wait_saved(self):
        self.page.wait_for_function(
            "() => document.querySelector('[data-testid=saved]').textContent === 'Saved in this browser'"
        )

    # Reading ------------------------------------------------------------

    def ledger(self, name):
        """The number in a cell of the ledger."""
        return float(self.page.locator(f"[data-ledger={name}] b").first.inner_text())

    def _download(self, act):
        with self.page.expect_download() as waiting:
            act()
        return waiting.value

    def _find(self, words):
        """Gives a command through the box that finds anything."""
        self.page.keyboard.press("Control+k")
        box = self.page.locator("#find-box")
        box.fill(words)
        box.press("Enter")

    def plan(self):
        """The plan, from the plan file the page saves."""
        download = self._download(lambda: self._find("Save the plan file"))
        file = json.loads(open(download.path(), encoding="utf-8").read())
        assert file["format"] == "baylap-plan"
        return file["plan"]

    def layout(self):
        """The layout, from the layout file the page saves."""
        self.wait_laid()
        download = self._download(lambda: self._find("Save the layout file"))
        return json.loads(open(download.path(), encoding="utf-8").read())

    def pdf(self, name):
        """The text of the PDF that a button makes."""
        from pypdf import PdfReader

        download = self._download(lambda: self.page.get_by_role("button", name=name).click())
        reader = PdfReader(download.path())
        return download.suggested_filename, [p.extract_text() for p in reader.pages], reader

    def contrasts(self, within="body"):
        """Every visible text with how far it stands out from its ground, 1 to 21; drawings and what is disabled aside.

        WCAG 2.2, 1.4.3. Colours are resolved by the browser's own canvas.
        """
        return self.page.evaluate(
            """within => {
            const context = Object.assign(document.createElement('canvas'), {width: 1, height: 1}).getContext('2d', {willReadFrequently: true});
            const rgb = colour => { context.clearRect(0, 0, 1, 1); context.fillStyle = colour; context.fillRect(0, 0, 1, 1); return [...context.getImageData(0, 0, 1, 1).data]; };
            const light = ([r, g, b]) => [r, g, b].map(v => v / 255).map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)
                .reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
            const ground = element => { for (; element; element = element.parentElement) { const c = rgb(getComputedStyle(element).backgroundColor); if (c[3] === 255) return c; } return [255, 255, 255, 255]; };
            const out = [];
            for (const element of document.querySelectorAll(`${within} *`)) {
                const words = [...element.childNodes].some(n => n.nodeType === 3 && n.textContent.trim());
                if (!words || element.closest('svg') || !element.checkVisibility() || element.closest('[disabled]')) continue;
                const [a, b] = [light(rgb(getComputedStyle(element).color)), light(ground(element))];
                const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
                out.push([element.textContent.trim().slice(0, 40), Math.round(ratio * 100) / 100]);
            }
            return out;
        }""",
            within,
        )

    # Acting -------------------------------------------------------------

    def px(self, x, y):
        """Where a place of the plan (mm) is on the screen."""
        matrix = self.page.locator("g.plan").get_attribute("transform")
        a, _, _, _, e, f = map(float, re.findall(r"-?\d+(?:\.\d+)?(?:e-?\d+)?", matrix))
        box = self.board.bounding_box()
        return box["x"] + a * x + e, box["y"] - a * y + f

    def click(self, x, y):
        self.page.mouse.click(*self.px(x, y))

    def move(self, x, y):
        self.page.mouse.move(*self.px(x, y), steps=3)

    def tap(self, x, y):
        self.page.touchscreen.tap(*self.px(x, y))

    def tool(self, name):
        self.page.locator(f"[data-tool={name}]").click()

    def stage(self, name):
        self.page.locator(f"#stage-{name}").click()

    def open_plan(self, plan, folder):
        """Opens a plan as a file, over an empty one: the same plan again would be no change."""
        self._find("New plan")
        path = folder / "plan.json"
        path.write_text(json.dumps({"format": "baylap-plan", "version": 1, "plan": plan}))
        before = self.board.get_attribute("data-revision")
        self.page.locator("#open-file").set_input_files(path)
        self.page.wait_for_function(
            "before => document.querySelector('[data-testid=board]').dataset.revision !== before", arg=before
        )
        self.wait_laid()

    def drawer(self, tab):
        """A table behind the ledger: bays, pieces, rolls, choices, waste, findings."""
        if not self.page.locator("#tab-bays").is_visible():
            self.page.locator("[data-ledger=bays]").click()
        self.page.locator(f"#tab-{tab}").click()

    def choose(self, field, value):
        """Sets a field that has choices, and waits for what comes of it."""
        self.page.locator(f"[data-field='{field}']").select_option(value)
        self.wait_laid()

    def begin(self):
        self.page.get_by_role("button", name="Job", exact=True).click()
        self.page.get_by_role("button", name="Begin a job").click()

    def begin_drawing(self):
        """An empty board with the outline tool in hand."""
        self.begin()
        self.page.locator(".way", has_text="Draw it").click()

    def undo_all(self):
        undo = self.page.get_by_role("button", name="Undo", exact=True)
        steps = 0
        while undo.is_enabled():
            undo.click()
            steps += 1
            assert steps < 300
        return steps

    def redo_all(self):
        redo = self.page.get_by_role("button", name="Redo", exact=True)
        steps = 0
        while redo.is_enabled():
            redo.click()
            steps += 1
            assert steps < 300
        return steps


def holds(plan, file):
    """Whether a plan says all that a file says; a file may leave out what has its usual value."""
    if isinstance(file, dict):
        return isinstance(plan, dict) and all(key in plan and holds(plan[key], file[key]) for key in file)
    if isinstance(file, list):
        return isinstance(plan, list) and len(plan) == len(file) and all(map(holds, plan, file))
    return plan == file


def area_of(ring):
    """Area of a plan ring in m², by the shoelace formula."""
    points = [corner["at"] for corner in ring]
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, points[1:] + points[:1]))) / 2e6
