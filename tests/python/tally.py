"""Comparisons that add up: points, the worst disagreement and where, against a stated tolerance."""

import numpy as np


class Tally:
    """One comparison against one reference."""

    def __init__(self, name, tolerance, unit):
        self.name, self.tolerance, self.unit = name, tolerance, unit
        self.points, self.worst, self.where = 0, 0.0, ""

    def add(self, got, expected, where):
        """Compares arrays of equal shape; `where` says what they are (a text, or a function of the flat index)."""
        got, expected = np.asarray(got, float), np.asarray(expected, float)
        if got.shape != expected.shape:
            raise ValueError(f"{self.name}: shapes {got.shape} and {expected.shape}")
        self.add_differences(np.abs(got - expected), where)

    def add_differences(self, differences, where):
        flat = np.ravel(differences)
        self.points += flat.size
        if flat.size == 0:
            return
        # NaN counts as infinitely far, so that it fails.
        flat = np.where(np.isnan(flat), np.inf, flat)
        index = int(np.argmax(flat))
        if flat[index] >= self.worst:
            self.worst = float(flat[index])
            self.where = where(index) if callable(where) else where

    @property
    def passed(self):
        # No points is a failure: a comparison that compared nothing proves nothing.
        return self.points > 0 and self.worst <= self.tolerance

    def line(self):
        verdict = "ok    " if self.passed else "FAILED"
        return (
            f"{verdict} {self.name}: {self.points} points, worst {self.worst:.3g} {self.unit}"
            f" (tolerance {self.tolerance:g}), at {self.where or 'none'}"
        )


def finish(tallies):
    """Prints every tally; the exit code of the script."""
    for tally in tallies:
        print(tally.line())
    failed = sum(not tally.passed for tally in tallies)
    print(f"{len(tallies) - failed} references agree, {failed} disagree")
    return 1 if failed else 0
