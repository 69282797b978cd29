"""Running the program: many plans in, their layouts out.

In: plans by name. Out: for each the layout it was given, or None with what the program said. The program is
`target/release/baylap`, or what BAYLAP_BIN names. It judges nothing.
"""

from __future__ import annotations

import json
import os
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
#: Files given to one run of the program.
BATCH = 400


@dataclass
class Answer:
    """What the program made of one file."""

    layout: dict | None
    said: str


def program() -> Path:
    """The program to judge."""
    path = Path(os.environ.get("BAYLAP_BIN", ROOT / "target" / "release" / "baylap"))
    if not path.is_file():
        raise FileNotFoundError(f"{path} is not there; build it with `cargo build --release -p baylap`")
    return path


def lay_texts(texts: dict[str, str], *options: str) -> dict[str, Answer]:
    """Lays files given as text by name."""
    answers = {}
    names = list(texts)
    for start in range(0, len(names), BATCH):
        answers |= lay_batch({n: texts[n] for n in names[start : start + BATCH]}, options)
    return answers


def lay_batch(texts, options):
    """One run of the program."""
    with tempfile.TemporaryDirectory(prefix="baylap-judge-") as folder:
        into, out = Path(folder, "in"), Path(folder, "out")
        into.mkdir()
        files = {}
        for i, (name, text) in enumerate(texts.items()):
            files[name] = into / f"p{i:05}.json"
            files[name].write_text(text)
        command = [program(), "lay", "--no-sheets", *options, "--out", out, *files.values()]
        done = subprocess.run([str(c) for c in command], capture_output=True, text=True, timeout=1200)
        said = done.stdout + done.stderr
        # 3 is a fault in the program: the plans it fell on have no layout, and count as refused.
        if done.returncode not in (0, 1, 2, 3):
            raise AssertionError(f"the program ended with {done.returncode}: {said[-2000:]}")
        return {name: Answer(read_layout(out, path, len(files)), lines_about(said, path)) for name, path in files.items()}


def read_layout(out, path, count):
    """The layout of one of several files."""
    file = out / path.stem / "layout.json" if count > 1 else out / "layout.json"
    if not file.is_file():
        file = out / path.stem / "layout.json"
    return json.loads(file.read_text()) if file.is_file() else None


def lines_about(said, path):
    """What the program said about one file."""
    return "\n".join(line for line in said.splitlines() if path.stem in line)
