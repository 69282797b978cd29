"""Native and WebAssembly layouts are the same, byte for byte.

In: the invented jobs, each as drawn, turned to an awkward angle, and with direction and start left to the search; the
command line (BAYLAP_BIN) and the page's own worker. Out: the text of the layout from both, when the search is over. The
worker is asked directly, in its own words, so that nothing between it and the test can smooth a difference over.
"""

import json
import os
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
JOBS = sorted(p for p in (ROOT / "demo-data").glob("0*.json"))

#: Asks a fresh worker to lay a plan, after others that it has to give up, and hands back all texts it answers that plan
#: with, up to the one that says the search is over.
ASK = """([plan, before]) => new Promise((done, fail) => {
  const worker = new Worker('./worker_loader.js', { type: 'module' });
  const told = [];
  const lay = (revision, plan) => worker.postMessage(JSON.stringify({ Lay: { revision, plan: JSON.parse(plan) } }));
  worker.onerror = e => fail(new Error(e.message));
  worker.onmessage = e => {
    if (e.data.includes('"Ready"')) {
      before.forEach((plan, n) => lay(n + 1, plan));
      lay(before.length + 1, plan);
      return;
    }
    const { revision, done: over } = JSON.parse(e.data).Laid;
    if (revision !== before.length + 1) return;
    told.push(e.data);
    if (over) {
      worker.terminate();
      done(told);
    }
  };
})"""


def last_layout(told: list[str]) -> str:
    """The text of the layout told last."""
    with_layout = [text for text in told if '"layout":null' not in text]
    text = with_layout[-1]
    start = text.index('"layout":') + len('"layout":')
    return text[start : text.rindex(',"millis"')].strip()


def native(plan: dict, folder: Path) -> str:
    program = os.environ.get("BAYLAP_BIN", ROOT / "target" / "release" / "baylap")
    file = folder / "plan.json"
    file.write_text(json.dumps(plan))
    done = subprocess.run([program, "lay", "--no-sheets", "--out", folder, file], capture_output=True, text=True)
    assert done.returncode in (0, 1), done.stdout + done.stderr
    return (folder / "layout.json").read_text()


def turned(plan: dict, direction) -> dict:
    """The plan with every zone laid in this direction; as drawn for none."""
    if direction == "best":
        plan["zones"] = []
    elif direction is not None:
        for zone in plan["zones"]:
            zone["direction"] = {"angle": {"mdeg": direction}}
    return plan


@pytest.mark.parametrize("direction", [None, 33_333, "best"])
@pytest.mark.parametrize("job", JOBS, ids=lambda p: p.stem)
def test_same_bytes(open_roof, job, direction, tmp_path):
    file = json.loads(job.read_text())
    turned(file["plan"], direction)
    page = open_roof(laid=False).page
    told = page.evaluate(ASK, [json.dumps(file["plan"]), []])
    assert last_layout(told) == native(file, tmp_path).strip()


@pytest.mark.parametrize("laying", ["run_on", "mixed"])
def test_same_bytes_however_rolls_are_laid(open_roof, laying, tmp_path):
    file = json.loads(JOBS[2].read_text())
    file["plan"]["products"] |= {"laying": laying, "slitting": "any_piece"}
    page = open_roof(laid=False).page
    told = page.evaluate(ASK, [json.dumps(turned(file["plan"], "best")), []])
    assert last_layout(told) == native(file, tmp_path).strip()


def test_the_end_of_a_search_does_not_depend_on_what_was_laid_before(open_roof, tmp_path):
    """Plans given up half-way leave a hint behind: it may change the first answer, never the last."""
    file = json.loads(JOBS[2].read_text())
    other = turned(json.loads(JOBS[2].read_text())["plan"], 33_333)
    page = open_roof(laid=False).page
    told = page.evaluate(ASK, [json.dumps(file["plan"]), [json.dumps(other)] * 3])
    assert last_layout(told) == native(file, tmp_path).strip()
