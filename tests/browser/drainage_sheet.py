"""The drainage sheet as a reader has it: saved by the page, read back from its files.

In: a page at the stage of the sheets, with falls. Out: rule, sentences of what was put in, ponds, outlets and lengths by
verdict from the PDF's text; the three lists as rows; the texts of the picture. It compares nothing and knows no layout.
"""

import csv
import re
import xml.etree.ElementTree as ElementTree

from pypdf import PdfReader

SVG = "{http://www.w3.org/2000/svg}"
PLACE = r"-?\d+ / -?\d+"
NUMBER = r"-?\d+(?:\.\d+)?"

#: Verdicts of the layout, as the sheet and the lists say them.
VERDICTS = {
    "with_fall": "runs with the fall",
    "sheds": "across the fall, sheds",
    "level": "on level deck",
    "raised": "along a ridge",
    "faces_water": "across the fall, faces the water",
    "low_line": "along a low line",
    "in_pond": "in a pond",
    "at_outlet": "in the clear zone of an outlet",
}


class Pdf:
    def __init__(self, path):
        reader = PdfReader(path)
        self.pages = [p.extract_text() for p in reader.pages]
        box = reader.pages[0].mediabox
        self.size = [round(float(s) / 72 * 25.4) for s in (box.width, box.height)]
        #: The tables: every page but the plans; lines broken by the sheet are joined again.
        self.tables = "\n".join(p for p in self.pages if "Drainage tables" in p)
        self.flat = " ".join(" ".join(self.pages).split())

    def rule(self):
        """Name, least fall and design fall of the rule set."""
        return re.search(r"Judged by ([^\n]+?): least (\S+), design (\S+)\. Less than", self.tables).groups()

    def put_in(self):
        """What was put in, and what was assumed."""
        return re.search(r"(Put in: [^.]+)\. (Assumed: [^.]+)\.", self.flat).groups()

    def ponds(self):
        """Number -> depth mm, area m², litres, kg, water level mm, deepest place, where it spills, where it goes."""
        row = rf"^(\d+) ({NUMBER}) ({NUMBER}) ({NUMBER}) ({NUMBER}) ({NUMBER}) ({PLACE}) ({PLACE}|no way out) (.+)$"
        return {int(r[0]): r[1:] for r in re.findall(row, self.tables, re.MULTILINE)}

    def outlets(self):
        """Tag -> catchment m², flow and capacity l/s (None when not worked out)."""
        row = rf"^(O\d+) .* ({NUMBER}|-) ({NUMBER}) ({NUMBER}) ({NUMBER}|-) ({NUMBER}|-) ({NUMBER}|-) ({NUMBER}|-) "
        found = re.findall(row, self.tables, re.MULTILINE)
        number = lambda word: None if word == "-" else float(word)
        return {tag: (float(size), number(flow), number(most)) for tag, _, size, _, flow, most, _, _ in found}

    def blocked(self):
        """Tag -> depth mm, area m², where its water goes when it is blocked."""
        row = rf"^(O\d+) ({NUMBER}) ({NUMBER}) ({NUMBER}) ({NUMBER}) ([^\n]+)$"
        return {r[0]: (float(r[1]), float(r[2]), r[5]) for r in re.findall(row, self.tables, re.MULTILINE)}

    def lengths(self):
        """Verdict -> metres of bay edges, side laps, end laps."""
        out = {}
        for slug, words in VERDICTS.items():
            row = re.search(rf"^{words} ({NUMBER}) ({NUMBER}) ({NUMBER})", self.tables, re.MULTILINE)
            if row:
                out[slug] = [float(metres) for metres in row.groups()]
        return out

    def classes(self):
        """Area of each class, m², worst first; their sum last."""
        names = ["Back-fall", "Flat", "Below the least", "Below the design fall", "Good", "All"]
        return [float(re.search(rf"^{n} (?:.* )?({NUMBER}) {NUMBER} %$", self.tables, re.MULTILINE)[1]) for n in names]


class Picture:
    def __init__(self, path):
        root = ElementTree.parse(path).getroot()
        assert root.tag == SVG + "svg"
        self.size = [root.get("width"), root.get("height")]
        self.box = [float(v) for v in root.get("viewBox").split()]
        texts = list(root.iter(SVG + "text"))
        self.texts = [t.text for t in texts]
        self.places = [[float(v) for v in re.findall(NUMBER, t.get("transform"))[:2]] for t in texts]
        self.flat = " ".join(self.texts)
        self.inks = {e.get(ink) for e in root.iter() for ink in ("fill", "stroke")} - {None, "none"}


def rows(path):
    with open(path, encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


class Saved:
    """Everything about falls that the page hands out, saved by its buttons and read back."""

    def __init__(self, roof):
        roof.stage("sheets")
        panel = roof.page.get_by_test_id("for-designer")
        if not panel.is_visible():
            roof.page.get_by_role("button", name="Inputs").click()
        self.names = []

        def save(button):
            download = roof._download(lambda: panel.get_by_role("button", name=button).click())
            self.names.append(download.suggested_filename)
            return download.path()

        self.pdf = Pdf(save("Drainage sheet, PDF"))
        self.picture = Picture(save("Drainage plan, SVG"))
        self.ponds = rows(save("Ponds, CSV"))
        self.outlets = rows(save("Outlets, CSV"))
        self.seams = rows(save("Edges and laps, CSV"))
