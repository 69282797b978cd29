"""The field of real outlines against inset areas worked out elsewhere.

Source: the open reference outlines beside the repository, which carry the area of each outline inset by 0.1, 0.5 and
1.5 m (GEOS 3.14.1, mitre limit 10). The field of a deck with that much clear all round must have that area, within 1 mm
along its edge.
The laws are judged on these layouts too: wide clear strips part decks and close necks. Each outline is inset by one of the
three, or with BAYLAP_ALL by each of them.
"""

import pytest

import family
import outlines
import plans
import run

INSETS = {"inset_0_1_area": 100, "inset_0_5_area": 500, "inset_1_5_area": 1500}


@pytest.mark.parametrize("key", INSETS)
def test_inset_areas(key):
    files = outlines.reference_files()
    if not files:
        pytest.skip("the open reference data is not here: outlines beside the repository")
    clear = INSETS[key]
    features = {n: f for file in files for n, f in outlines.reference(file).items() if plans.is_valid(f["rings"])}
    wanted = {name for name, inset in family.thinned([(n, k) for n in features for k in INSETS], len(INSETS)) if inset == key}
    features = {n: f for n, f in features.items() if n in wanted}
    named = {n: plans.of_rings(n, f["rings"], clear=clear, foot=clear + 100) for n, f in features.items()}
    answers = run.lay_texts({n: plans.to_file(plan) for n, plan in named.items()})
    found = family.verdicts(named, answers)
    family.report(f"inset by {clear} mm", found)
    off, worst = [], 0.0
    for name, feature in features.items():
        got = answers[name].layout["totals"]["field_area"] / 1e6
        allowed = feature["perimeter"] * 0.001
        error = abs(got - feature[key])
        worst = max(worst, error / feature["perimeter"] * 1000)
        if error > allowed:
            off.append(f"{name}: {got:.4f} m2, not {feature[key]:.4f} (allowed {allowed:.4f})")
    family.REPORT.append(f"    {len(off)} of {len(features)} inset areas off; worst {worst:.3f} mm along the edge")
    assert not off, "\n".join(off[:20])
    complaint = family.complaint(found)
    assert not complaint, complaint
