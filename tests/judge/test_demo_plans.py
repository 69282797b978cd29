"""Laws 1 to 7 and 11 on the demo plans."""

import json

import pytest

import family
import plans
from run import ROOT

FILES = sorted(f for f in (ROOT / "demo-data").glob("*.json") if f.name != "index.json")


def test_demo_plans():
    if not FILES:
        pytest.fail("there is no demo plan in demo-data/")
    todo = {f.stem: plans.filled(json.loads(f.read_text())["plan"]) for f in FILES}
    complaint = family.complaint(family.judge("demo plans", todo))
    assert not complaint, complaint
