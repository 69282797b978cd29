"""Outlines of real buildings, read in place.

In: the GeoPackage that the Python package momepy carries, and the open reference data beside the repository. Out: rings
in whole mm by name. Must hold: an outline that whole mm make crossed or empty is left out and counted, never mended.

momepy 0.11.0, BSD 3-Clause licence, `momepy/datasets/bubenec.gpkg`: 144 building outlines of one quarter of Prague, in
metres of a web map (EPSG:3857, about 1.6 times the true size at that latitude, which does not matter here). A GeoPackage
is an SQLite file with geometries as a short header and WKB (OGC 12-128r18, clause 2.1.3), so `sqlite3` reads it.
"""

from __future__ import annotations

import importlib.util
import json
import sqlite3
from pathlib import Path

import shapely

import plans
from run import ROOT

SHARED = ROOT.parent / "shared" / "data" / "outlines"
#: Bytes of the header before the WKB, by the code of its envelope.
ENVELOPE_BYTES = {0: 0, 1: 32, 2: 48, 3: 48, 4: 64}


def quarter_file() -> Path | None:
    """The GeoPackage of the city quarter, if its package is installed; the package itself is not imported."""
    spec = importlib.util.find_spec("momepy")
    file = Path(spec.origin).parent / "datasets" / "bubenec.gpkg" if spec and spec.origin else None
    return file if file and file.is_file() else None


def quarter(file: Path) -> dict[str, list]:
    """Buildings of the city quarter."""
    with sqlite3.connect(f"file:{file}?mode=ro&immutable=1", uri=True) as database:
        rows = database.execute("select fid, geom from buildings order by fid").fetchall()
    found = {}
    for number, blob in rows:
        shape = shapely.from_wkb(blob[8 + ENVELOPE_BYTES[(blob[3] >> 1) & 7] :])
        for k, part in enumerate(getattr(shape, "geoms", [shape])):
            x, y = (int(c) for c in part.bounds[:2])
            rings = [[(px - x, py - y) for px, py, *_ in ring.coords] for ring in (part.exterior, *part.interiors)]
            found[f"quarter-{number}-{k}"] = [plans.whole_mm(ring) for ring in rings]
    return found


def reference_files() -> list[Path]:
    """The files of reference outlines, where present."""
    return sorted(f for f in SHARED.glob("*.json") if f.name != "lap_rectangles.json")


def reference(file: Path) -> dict[str, dict]:
    """Outlines of one reference file: rings in whole mm under `rings`, the rest as the file has it."""
    features = json.loads(file.read_text())["features"]
    return {f["id"]: f | {"rings": [plans.whole_mm(r) for r in f["rings"]], "metres": f["rings"]} for f in features}
