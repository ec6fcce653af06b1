"""Sessions killed at random moments: the design file always loads, its journal always loads, at most 2 s of edits are gone.

    python -m tests.soak.kill [N] [SECONDS]

N sessions (300) in pseudo-terminals, two at a time, edited and saved by keys
and killed with SIGKILL; a third of them at the moment a file is being written.
Stops early after SECONDS. Exit status 1 when anything was lost that must not be.
"""

from __future__ import annotations

import os
import shutil
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from engine.design import Design
from engine.files.design_file import load
from tests import SAVED_DESIGNS
from tests.tui.terminal.pty_session import PtySession
from tui.keep.journal import Journal
from tui.work.document import Document

MOST_LOST = 2.0  # seconds
_LIVES = (0.1, 4.0)  # seconds that a session lives, from its start
_EDIT, _SAVE, _MOVE = "d", "w", "j"
_AT_WORK = 2


@dataclass(frozen=True, slots=True)
class Outcome:
    """One killed session: what is wrong, "" for nothing; edits made; seconds of edits lost; whether a half-written file was left."""

    seed: int
    wrong: str
    edits: int
    lost: float
    half_written: bool


def one_kill(seed: int) -> Outcome:
    """Start a session, edit, kill it, and look at what it left."""
    rng = Random(seed)
    demos = sorted((SAVED_DESIGNS).glob("*.toml"))
    with TemporaryDirectory(prefix="kill") as folder:
        path = Path(shutil.copy(rng.choice(demos), folder))
        before = pieces(load(path))
        with PtySession(path.name, home=Path(folder)) as session:
            made = list(_edits(session, rng, time.monotonic() + rng.uniform(*_LIVES)))
            if rng.random() < 1 / 3:
                _await_writing(Path(folder), session)
            killed = time.monotonic()
            session.process.kill()
        half = any(name.endswith(".new") for name in os.listdir(folder))
        try:
            kept = max(map(pieces, _left(path))) - before
        except Exception as error:
            return Outcome(seed, f"does not load: {error!r}", len(made), 0.0, half)
        lost = killed - made[kept] if kept < len(made) else 0.0
        wrong = f"{lost:.2f} s of edits lost" if lost > MOST_LOST else f"{kept} edits of {len(made)} kept" if kept > len(made) + 2 else ""
        return Outcome(seed, wrong, len(made), lost, half)


def pieces(design: Design) -> int:
    """How many pieces a design has: every edit here adds one."""
    return sum(len(run.pieces) for run in design.runs)


def _edits(session: PtySession, rng: Random, until: float) -> Iterator[float]:
    """Press keys until it is time; the moments when each edit had been painted."""
    while "q quit" not in session.text:
        if time.monotonic() > until:
            return
        session.settle(0.02)
    session.send(_MOVE)
    while time.monotonic() < until:
        session.settle(rng.uniform(0.02, 0.3))
        key = rng.choices((_EDIT, _SAVE), (6, 1))[0]
        before = session.received
        session.send(key)
        while session.received == before and time.monotonic() < until + 1:
            session.settle(0.005)
        if key == _EDIT and session.received > before:
            yield time.monotonic()


def _await_writing(folder: Path, session: PtySession) -> None:
    """Edit once more, then wait for a file that is being written."""
    session.send(_EDIT)
    ends = time.monotonic() + 1.8
    while time.monotonic() < ends and not any(name.endswith(".new") for name in os.listdir(folder)):
        pass


def _left(path: Path) -> list[Design]:
    """The design in the file and what the next session would find beside it. Raises where one cannot be read."""
    document = Document.open(path)
    journal = Journal(document)
    journal.keep()
    found = journal.others()
    journal.close()
    if found.sessions:
        raise AssertionError("a dead session is taken for a living one")
    if unread := {*path.parent.glob(f".{path.name}.*.unsaved")} - {left.path for left in found.left}:
        raise AssertionError(f"a journal cannot be read: {unread}")
    for previous in path.parent.glob(f"{path.name}~"):
        load(previous)
    return [document.design, *(left.design for left in found.left)]


def main(kills: int = 300, seconds: float = float("inf")) -> int:
    """Kill so many sessions and print what came of it; the exit status."""
    began, outcomes = time.monotonic(), []
    with ProcessPoolExecutor(_AT_WORK) as workers:
        for first in range(0, kills, 10 * _AT_WORK):
            outcomes += workers.map(one_kill, range(first, min(first + 10 * _AT_WORK, kills)))
            if time.monotonic() - began > seconds:
                break
    wrong = [outcome for outcome in outcomes if outcome.wrong]
    print(f"sessions killed      {len(outcomes)} in {time.monotonic() - began:.0f} s")
    print(f"edits made           {sum(outcome.edits for outcome in outcomes)}")
    print(f"killed while writing {sum(outcome.half_written for outcome in outcomes)}")
    print(f"longest loss         {max(outcome.lost for outcome in outcomes):.2f} s")
    print(f"wrong                {len(wrong)}", *(f"{outcome.seed}: {outcome.wrong}" for outcome in wrong[:20]), sep="\n  " if wrong else " ")
    return 1 if wrong else 0


if __name__ == "__main__":
    given = sys.argv[1:]
    sys.exit(main(*map(int, given[:1]), *map(float, given[1:2])))
