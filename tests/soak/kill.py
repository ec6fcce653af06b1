"""Sessions killed at random moments: the design file always loads, its journal always loads, and no edit is gone that was carried out.

    python -m tests.soak.kill [N] [SECONDS]

N sessions (300) in pseudo-terminals, two at a time, edited and saved by keys
and killed with SIGKILL; a third of them while a file is being written. They
keep every edit at once, where else up to two seconds of them may go, so that
edits are counted and not the time they had. Stops early after SECONDS. Exit
status 1 when anything was lost that must not be.
"""

from __future__ import annotations

import shutil
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from engine.design import Design
from engine.files.design_file import load
from tests import DEMO_FILES
from tests.tui.terminal.demo import KEEPS_AT_ONCE
from tests.tui.terminal.pty_session import PtySession
from tests.waiting import LIMIT
from tui.keep.journal import Journal
from tui.work.document import Document

_MOST_KEYS = 25  # that a session lives to see
_MOST_SYNCS = 12  # before the one that such a session dies of
_WRITES_ITS_LAST = """
import os, signal, stat
syncs, sync = {syncs}, os.fsync
def last_sync(handle):
    global syncs
    syncs -= not stat.S_ISDIR(os.fstat(handle).st_mode)
    os.kill(os.getpid(), signal.SIGSTOP) if syncs < 0 else sync(handle)
os.fsync = last_sync
"""
_EDIT, _SAVE, _MOVE = "d", "w", "j"
_AT_WORK = 2


@dataclass(frozen=True, slots=True)
class Outcome:
    """One killed session: what is wrong, "" for nothing; edits made and lost; whether a half-written file was left."""

    seed: int
    wrong: str
    edits: int
    lost: int
    half_written: bool


def one_kill(seed: int) -> Outcome:
    """Start a session, edit, kill it, and look at what it left."""
    rng = Random(seed)
    demos = DEMO_FILES
    writing = seed % 3 == 0
    stops = _WRITES_ITS_LAST.format(syncs=rng.randrange(_MOST_SYNCS)) if writing else ""
    with TemporaryDirectory(prefix="kill") as folder:
        path = Path(shutil.copy(rng.choice(demos), folder))
        before = pieces(load(path))
        with PtySession(path.name, home=Path(folder), before=KEEPS_AT_ONCE + stops) as session:
            made = _edits(session, rng, writing)
            session.process.kill()
            session.process.wait(LIMIT)
        half = any(left.name.endswith(".new") for left in Path(folder).iterdir())
        try:
            kept = max(map(pieces, _left(path))) - before
        except Exception as error:
            return Outcome(seed, f"does not load: {error!r}", made, 0, half)
        wrong = ""
        if not made <= kept <= made + 1:
            wrong = f"{kept} edits kept of {made}"
        elif writing and not half:
            wrong = "killed, but not while a file was written"
        return Outcome(seed, wrong, made, max(made - kept, 0), half)


def pieces(design: Design) -> int:
    """How many pieces a design has: every edit here adds one."""
    return sum(len(run.pieces) for run in design.runs)


def _edits(session: PtySession, rng: Random, writing: bool) -> int:
    """Press keys until it is time for the session to die, or until it stops while it is `writing`; the edits that were carried out."""
    made = 0
    if not writing and rng.random() < 0.1:  # while it starts
        painted = rng.choice((0, 1, 2000))
        session.wait_until(lambda: session.received >= painted)
        return made
    session.wait_for("q quit")
    session.send(_MOVE)
    session.settle()
    for key in rng.choices((_EDIT, _SAVE), (6, 1), k=4 * _MOST_SYNCS if writing else rng.randrange(_MOST_KEYS)):
        before = session.received
        session.send(key)
        session.wait_until(lambda: key == _SAVE or session.received > before or session.is_stopped())
        session.settle(0.02)
        if session.is_stopped():
            return made
        made += key == _EDIT
    session.send(_EDIT)  # of which nobody knows how far it gets
    session.settle(rng.choice((0.0, 0.005)))
    return made


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
    print(f"edits lost           {sum(outcome.lost for outcome in outcomes)}")
    print(f"wrong                {len(wrong)}", *(f"{outcome.seed}: {outcome.wrong}" for outcome in wrong[:20]), sep="\n  " if wrong else " ")
    return 1 if wrong else 0


if __name__ == "__main__":
    given = sys.argv[1:]
    sys.exit(main(*map(int, given[:1]), *map(float, given[1:2])))
