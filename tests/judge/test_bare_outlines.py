"""A bare outline in GeoJSON (RFC 7946) is laid as the plan that says the same.

In metres and projected, as the open reference outlines are. The layouts must be equal in every quantity and polygon.
"""

import json

import pytest

import outlines
import plans
import run


def geojson(rings):
    """A polygon in metres, rings closed."""
    return json.dumps({"type": "Polygon", "coordinates": rings})


@pytest.mark.parametrize("degrees", [None, "0", "33.3"])
def test_bare_outlines(degrees):
    files = outlines.reference_files()
    if not files:
        pytest.skip("the open reference data is not here: outlines beside the repository")
    features = {n: f for file in files for n, f in list(outlines.reference(file).items())[::20] if plans.is_valid(f["rings"])}
    direction = "best" if degrees is None else {"angle": {"mdeg": round(float(degrees) * 1000)}}
    options = [] if degrees is None else ["--direction", degrees]
    bare = run.lay_texts({n: geojson(f["metres"]) for n, f in features.items()}, *options)
    drawn = run.lay_texts({n: plans.to_file(plans.of_rings(n, f["rings"], direction)) for n, f in features.items()})
    assert len(features) > 40
    for name in features:
        assert bare[name].layout, bare[name].said
        one, two = bare[name].layout, drawn[name].layout
        assert one["totals"] == two["totals"], name
        assert [p["as_laid"] for p in one["pieces"]] == [p["as_laid"] for p in two["pieces"]], name
