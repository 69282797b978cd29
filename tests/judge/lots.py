"""Whole random numbers, the same everywhere.

In: a seed. Out: numbers. It needs nothing else, so that the benches can draw what the judges draw.
"""

from __future__ import annotations


class Lots:
    """Whole random numbers, the same everywhere (Knuth's 64-bit linear congruential generator)."""

    def __init__(self, seed):
        self.state = seed * 2862933555777941757 + 3037000493

    def between(self, low, high):
        """A whole number from `low` to `high`, both included."""
        self.state = (self.state * 6364136223846793005 + 1442695040888963407) % 2**64
        return low + (self.state >> 33) % (high - low + 1)

    def one_of(self, things):
        return things[self.between(0, len(things) - 1)]
