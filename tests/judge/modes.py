"""The ways of laying that every law is judged in.

In: nothing. Out: settings of the plan by name, and which outlines and directions each is judged on. Must hold: the sample is
the same in every run.
"""

from __future__ import annotations

import itertools

from plans import DIRECTIONS


def roll(width, length, on_hand=None, price=None):
    return {"name": "", "width": width, "length": length, "on_hand": on_hand, "price": price}


ROLL, SHORT = roll(1000, 50_000), roll(1000, 20_000)

#: Name -> settings.
MODES = {
    "run on": {"laying": "run_on"},
    "run on, short rolls": {"laying": "run_on", "rolls": [SHORT], "kerf": 3, "end_lap": 100, "stagger": 500},
    "mixed": {"laying": "mixed", "rolls": [SHORT]},
    "outer courses slit": {"slitting": "outer_courses", "kerf": 2},
    "any piece slit": {"slitting": "any_piece", "rolls": [SHORT]},
    "laps grown": {"narrow_course": "grow_laps", "least_strip": 600},
    "several rolls": {"rolls": [roll(1000, 50_000, 2), roll(1000, 20_000, 3), roll(500, 25_000), roll(1200, 15_000, price=4200)]},
    "few part-used": {"open_rolls": 2, "hold_open_rolls": True, "rolls": [SHORT]},
    "strips": {"upstand_strips": True, "kerf": 3},
    "all at once": {
        "laying": "mixed",
        "slitting": "any_piece",
        "upstand_strips": True,
        "rolls": [roll(1000, 50_000, 4), SHORT, roll(600, 30_000)],
        "kerf": 4,
        "open_rolls": 4,
        "hold_open_rolls": True,
    },
}

#: Directions of a mode: the best one and those held.
ALL_DIRECTIONS = {"best": "best"} | DIRECTIONS


def sample(names, every):
    """(mode, name, direction) of every so many-th of all there are."""
    everything = itertools.product(names, MODES, ALL_DIRECTIONS)
    return [case for n, case in enumerate(everything) if n % every == 0]
