"""Laws 1 to 7 and 11 on outlines of real buildings, each in one of three laying directions, or with BAYLAP_ALL in each of them.

Sources: the city quarter carried by the Python package momepy (BSD 3-Clause; see `outlines.py`), and the open reference
outlines beside the repository, where present (CC BY 4.0 3DBAG and City of Rotterdam, CC BY 3.0 AT City of Vienna, CC0
City of Zurich, ODbL OpenStreetMap contributors; per outline in the files).
"""

import pytest

import family
import outlines
import plans


def directed(rings):
    """A plan for every sound outline, the directions taking turns; in every direction where all are asked for."""
    cases = [(name, way) for name in rings for way in plans.DIRECTIONS]
    return {f"{name}/{way}": plans.of_rings(name, rings[name], plans.DIRECTIONS[way]) for name, way in family.thinned(cases, 3)}


def check(name, rings_by_name):
    sound = {n: rings for n, rings in rings_by_name.items() if plans.is_valid(rings)}
    todo = directed(sound)
    family.REPORT.append(f"{name}: {len(rings_by_name)} outlines, {len(sound)} sound in whole mm, {len(todo)} layouts")
    complaint = family.complaint(family.judge(name, todo))
    assert not complaint, complaint


def test_city_quarter():
    file = outlines.quarter_file()
    if file is None:
        pytest.skip("momepy is not installed: pip install --no-deps --require-hashes -r tests/requirements-data.txt")
    buildings = outlines.quarter(file)
    assert len(buildings) == 144
    check("city quarter", buildings)


@pytest.mark.parametrize("name, count", [("footprints_osm_public", 229), ("ground_outlines_public", 470), ("roof_planes_public", 331)])
def test_reference_outlines(name, count):
    file = outlines.SHARED / f"{name}.json"
    if not file.is_file():
        pytest.skip(f"the open reference data is not here: {name}.json beside the repository")
    features = outlines.reference(file)
    assert len(features) == count
    check(name, {n: f["rings"] for n, f in features.items()})
