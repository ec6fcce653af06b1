"""The search for remedies and for throttled gates over whole designs.

Run `python -m tests.bench.remedies`. Times the saved designs: single changes,
singles with pairs, the longest step between two reports of progress, and the
throttling of every gate set of several machines.
"""

from __future__ import annotations

from time import perf_counter

from engine import load
from engine.checks.assess import assess
from engine.search.remedies import remedies
from engine.search.throttling import throttlings
from tests import DEMO_FILES, SAVED_DESIGNS
from tests.bench.clock import milliseconds, seconds

SAVED = SAVED_DESIGNS


def main() -> None:
    """Print the table."""
    titles = ("runs", "trials", "offered", "singles ms", "pairs ms", "step ms", "throttle ms")
    print("design".ljust(20), *(title.rjust(11) for title in titles))
    for path in DEMO_FILES:
        design = load(path)
        before = assess(design)
        steps = list(remedies(design, before))
        times = [seconds(lambda pairs=pairs: list(remedies(design, before, pairs=pairs))) for pairs in (False, True)]
        cells = (len(design.runs), steps[-1].of, len(steps[-1].proposals), *map(milliseconds, times), milliseconds(_longest(design, before)))
        print(
            path.stem.ljust(20), *(str(cell).rjust(11) for cell in cells), milliseconds(seconds(lambda: list(throttlings(design, before)))).rjust(11)
        )


def _longest(design, before) -> float:
    longest, last = 0.0, perf_counter()
    for _ in remedies(design, before):
        now = perf_counter()
        longest, last = max(longest, now - last), now
    return longest


if __name__ == "__main__":
    main()
