"""Native and WebAssembly layouts are the same, byte for byte.

In: the invented jobs, each as drawn and turned to an awkward angle; the command line (BAYLAP_BIN) and the page's own
worker. Out: the text of the layout from both. The worker is asked directly, in its own words, so that nothing between
it and the test can smooth a difference over.
"""

import json
import os
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
JOBS = sorted(p for p in (ROOT / "demo-data").glob("0*.json"))

#: Asks a fresh worker to lay a plan and hands back the text it answers with.
ASK = """plan => new Promise((done, fail) => {
  const worker = new Worker('./worker_loader.js', { type: 'module' });
  worker.onerror = e => fail(new Error(e.message));
  worker.onmessage = e => {
    if (e.data.includes('"Ready"')) {
      worker.postMessage(JSON.stringify({ Lay: { revision: 1, plan: JSON.parse(plan) } }));
    } else {
      worker.terminate();
      done(e.data);
    }
  };
})"""


def native(plan: dict, folder: Path) -> str:
    program = os.environ.get("BAYLAP_BIN", ROOT / "target" / "release" / "baylap")
    file = folder / "plan.json"
    file.write_text(json.dumps(plan))
    done = subprocess.run([program, "lay", "--no-sheets", "--out", folder, file], capture_output=True, text=True)
    assert done.returncode in (0, 1), done.stdout + done.stderr
    return (folder / "layout.json").read_text()


@pytest.mark.parametrize("mdeg", [None, 33_333])
@pytest.mark.parametrize("job", JOBS, ids=lambda p: p.stem)
def test_same_bytes(open_roof, job, mdeg, tmp_path):
    plan = json.loads(job.read_text())
    if mdeg is not None:
        for zone in plan["plan"]["zones"]:
            zone["direction"] = {"angle": {"mdeg": mdeg}}
    page = open_roof(laid=False).page
    answer = page.evaluate(ASK, json.dumps(plan["plan"]))
    start = answer.index('"layout":') + len('"layout":')
    in_browser = answer[start : answer.rindex(',"millis"')]
    assert in_browser.strip() == native(plan, tmp_path).strip()
