"""How times grow with a design, up to the most runs a file may have: exponents of 1 and less are no worse than linear.

Run `python -m tests.bench.scale [--quick]`. The engine's steps, and the session in a terminal: its first
paint, and an edit from key to new results. `grows as` is the exponent fitted
over all sizes, `at last` that of the last step: what is worse than linear
shows there first.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from math import log
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import process_time

import numpy as np

from engine.air.one.network import compile_tree
from engine.checks.assess import assess
from engine.design import Design
from engine.design.rules.consistency import mistakes
from engine.files.design_file import dumps, loads
from engine.report.assessment import as_text
from engine.space.geometry import space_of
from tests.bench.clock import milliseconds, seconds
from tests.shops.long_shops import long_shop, longer_by_a_hand
from tests.tui.terminal.pty_session import SESSION, PtySession

RUNS = (11, 49, 149, 499)
_STARTS, _EDITS, _QUIET = 3, 20, 0.05


def steps(design: Design) -> dict[str, float]:
    """Seconds of the processor that checking and editing a design take in the engine."""
    text, found, longer = dumps(design), assess(design), longer_by_a_hand(design)
    calls: dict[str, Callable[[], object]] = {
        "file read": lambda: loads(text),
        "rules of a design": lambda: mistakes(design),
        "network compiled": lambda: compile_tree(design),
        "laid out in space": lambda: space_of(design),
        "checked": lambda: assess(design),
        "checked after an edit": lambda: assess(longer, found),
        "report as text": lambda: as_text(found),
        "file written": lambda: dumps(design),
    }
    return {name: seconds(call, clock=process_time) for name, call in calls.items()}


def in_terminal(design: Design) -> dict[str, float]:
    """Seconds to the first paint of a session, and from a key to the new results of an edit."""
    starts = []
    with TemporaryDirectory(prefix="scale") as folder:
        (Path(folder) / "long.toml").write_text(dumps(design))
        for _ in range(_STARTS):
            with PtySession("long.toml", home=Path(folder), program=SESSION) as session:
                session.wait_for("q quit")
                session.settle()
                starts.append(session.painted_after())
                if len(starts) == _STARTS:
                    edits = _edits(session)
    return {"first paint": min(starts), "key to new results": median(edits)}


def _edits(session: PtySession) -> list[float]:
    """Seconds of edits of the length of the first straight."""
    while "straight of" not in session.text and "straight 1 of" not in session.text:
        session.send("j")
        session.settle(0.1)
    session.send("2", "e")
    session.wait_for("accept")
    session.send("1")
    session.settle()
    return [session.answer("backspace" if number % 2 else "2", _QUIET)[1] for number in range(_EDITS)]


def exponents(times: Sequence[float], sizes: Sequence[int] = RUNS) -> tuple[float, float]:
    """The power of the size as which times grow: fitted over all of it, and over its last step."""
    fitted = np.polyfit(np.log(sizes), np.log(times), 1)[0]
    return float(fitted), log(times[-1] / times[-2]) / log(sizes[-1] / sizes[-2])


def measured(*, terminal: bool = True) -> dict[str, list[float]]:
    """What was measured, with its seconds at every size."""
    designs = [long_shop(runs) for runs in RUNS]
    columns = [steps(design) | (in_terminal(design) if terminal else {}) for design in designs]
    return {name: [column[name] for column in columns] for name in columns[0]}


def main(*, quick: bool = False) -> None:
    """Print the table."""
    print("ms".ljust(26), *(f"{runs} runs".rjust(10) for runs in RUNS), "grows as".rjust(10), "at last".rjust(10))
    for name, times in measured(terminal=not quick).items():
        print(name.ljust(26), *(milliseconds(time).rjust(10) for time in times), *(f"{power:.2f}".rjust(10) for power in exponents(times)))


if __name__ == "__main__":
    main(quick="--quick" in sys.argv)
