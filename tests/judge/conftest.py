"""Lets the judges import one another, and prints their report at the end of the run."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))


def pytest_terminal_summary(terminalreporter):
    """The report, after pytest's own."""
    from family import REPORT

    if REPORT:
        terminalreporter.section("what the judges found")
        for line in REPORT:
            terminalreporter.write_line(line)
