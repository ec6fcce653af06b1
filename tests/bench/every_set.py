"""Every set of machines at work, solved and graded.

Run `python -m tests.bench.every_set`. Times a generated workshop of 12 machines
in all its 4095 sets, with flow-ratio joints, and the saved designs; beside it
what the same sets take one by one, taken from a part of them.
"""

from __future__ import annotations

from engine import load
from engine.air.one.balance import solve
from engine.air.one.network import compile_tree, ports_for
from engine.checks.look import look_at
from engine.search.together.companions import together
from engine.search.together.every_set import every_set
from tests import DEMO_FILES, SAVED_DESIGNS
from tests.bench.clock import milliseconds, seconds
from tests.outside import designs

SAVED = SAVED_DESIGNS
PART = 100


def one_by_one(look, sets) -> float:
    """Seconds for all sets, one by one."""
    rows = range(0, len(sets.at_work), max(1, len(sets.at_work) // PART))
    opened = [ports_for(look.tree, sets.members(row)) for row in rows]
    return seconds(lambda: [solve(look.tree, ports) for ports in opened]) * len(sets.at_work) / len(rows)


def main() -> None:
    """Print the table."""
    cases = {"12 machines": designs.workshop(12, fixed=False)}
    cases |= {path.stem: load(path) for path in DEMO_FILES}
    titles = ("runs", "machines", "sets", "ms", "with companions", "one by one")
    print("design".ljust(20), *(title.rjust(len(title) + 2) for title in titles))
    for name, design in cases.items():
        look = look_at(design, compile_tree(design))
        sets = every_set(look)
        times = (seconds(lambda: every_set(look)), seconds(lambda: together(look)), one_by_one(look, sets))
        cells = (len(sets.runs), len(sets.machines), len(sets.at_work), *map(milliseconds, times))
        print(name.ljust(20), *(str(cell).rjust(len(title) + 2) for cell, title in zip(cells, titles, strict=True)))


if __name__ == "__main__":
    main()
