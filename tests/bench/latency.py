"""The session as its user feels it, in a real pseudo-terminal: from a key to new results on the screen, bytes, memory, idling.

Run `python -m tests.bench.latency [FOLDER]`; it takes about three minutes. An
edit is a digit typed into, or taken from, the length of the first straight of
the boat shed: every flow of every gate set is another one. What was typed is
seen with the first bytes of the answer; it counts as painted, with all its
results, when the last byte has come. With the folder of another
copy of the code, such as a worktree of an older commit, both are timed turn by
turn, and the ratio of this one to that one is printed: on a shared machine no
other figures compare.
"""

from __future__ import annotations

import os
import shutil
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from tests import ROOT
from tests.tui.terminal.pty_session import SESSION, PtySession

DESIGN = "boat_shed.toml"
STARTS, TIMED, ALL = 5, 200, 2000
IDLE = 5.0
_QUIET, _HASTE = 0.03, 0.005
_TICK = os.sysconf("SC_CLK_TCK")


def started(folder: Path, copy: Path) -> PtySession:
    """The session of a copy of the code, its first screen painted: the results may still be to come."""
    session = PtySession(DESIGN, home=folder, program=SESSION, env={"PYTHONPATH": str(copy)})
    session.wait_for(lambda text: "Slipway" in text and "q quit" in text)
    return session


def begin_edit(session: PtySession) -> None:
    """Go to the first straight and put the cursor behind a 1 as its length."""
    while "straight of" not in session.text and "straight 1 of" not in session.text:
        session.send("j")
        session.settle(0.1)
    session.send("2", "e")
    session.wait_for("accept")
    session.send("1")
    session.settle()


def edits(sessions: list[PtySession], count: int, quiet: float) -> Iterator[list[tuple[float, float, int]]]:
    """Seconds to the first and to the last byte, and bytes, of so many edits, of one session after the other."""
    for number in range(count):
        answers = [session.answer("backspace" if number % 2 else "2", quiet) for session in sessions]
        lost = next((session for session in sessions if "->" not in session.row(-2)), None)
        if lost and quiet >= _QUIET:
            raise RuntimeError(f"no new results after edit {number}\n{lost.text}")
        yield answers


def resident(session: PtySession) -> float:
    """Memory in use, MiB."""
    status = Path(f"/proc/{session.process.pid}/status").read_text()
    return int(status.partition("VmRSS:")[2].split()[0]) / 1024


def processor(session: PtySession) -> float:
    """Seconds of processor time so far."""
    fields = Path(f"/proc/{session.process.pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / _TICK


def idling(session: PtySession) -> tuple[float, int]:
    """Processor time and bytes of a session that is left alone."""
    session.settle(0.5)
    received, before = session.received, processor(session)
    time.sleep(IDLE)
    return 1e3 * (processor(session) - before), session.received - received


def main() -> None:
    """Print the table."""
    copies = [ROOT, *map(Path, sys.argv[1:2])]
    with TemporaryDirectory(prefix="latency") as folder, ExitStack() as stack:
        shutil.copy(copies[-1] / "saved_designs" / DESIGN, folder)  # as the older code writes it, which both read
        starts = [[_start(Path(folder), copy) for copy in copies] for _ in range(STARTS)]
        sessions = [stack.enter_context(started(Path(folder), copy)) for copy in copies]
        for session in sessions:
            session.settle()
        start_bytes, idle = [session.received for session in sessions], [idling(session) for session in sessions]
        for session in sessions:
            begin_edit(session)
        busy = [processor(session) for session in sessions]
        timed = list(edits(sessions, TIMED, _QUIET))
        spent = [1e3 * (processor(session) - before) / TIMED for session, before in zip(sessions, busy, strict=True)]
        early = [resident(session) for session in sessions]
        for _ in edits(sessions, ALL - TIMED, _HASTE):
            pass
        late = [resident(session) for session in sessions]
    sizes = [sorted(each[at][2] for each in timed) for at in range(len(copies))]
    for which, title in enumerate(("first paint, median", "first results painted, median", "processor time until then, median")):
        _tell(title, "s", [median(each[at][which] for each in starts) for at in range(len(copies))])
    _tell("bytes until then", "", start_bytes)
    for which, painted in enumerate(("what was typed painted", "new results painted")):
        seconds = [sorted(1e3 * each[at][which] for each in timed) for at in range(len(copies))]
        for title, of in (("p50", median), ("p95", lambda values: values[len(values) * 95 // 100]), ("longest", max)):
            _tell(f"key -> {painted}, {title}", "ms", [of(values) for values in seconds])
    _tell("processor time an edit", "ms", spent)
    _tell("bytes an edit, p50", "", [median(values) for values in sizes])
    _tell("bytes an edit, most", "", [values[-1] for values in sizes])
    _tell(f"memory after {TIMED} edits", "MiB", early)
    _tell(f"memory after {ALL} edits", "MiB", late)
    _tell(f"processor time of {IDLE:g} s idle", "ms", [each[0] for each in idle])
    _tell(f"bytes of {IDLE:g} s idle", "", [each[1] for each in idle])


def _start(folder: Path, copy: Path) -> tuple[float, float, float]:
    """Seconds until the first screen, and until the results on it, with the processor time until then."""
    with started(folder, copy) as session:
        first = session.painted_after()
        session.settle()
        return first, session.painted_after(), processor(session)


def _tell(title: str, unit: str, values: list[float]) -> None:
    ratio = f"   x {values[0] / values[1]:.2f}" if len(values) > 1 and values[1] else ""
    print(title.ljust(40), *(f"{value:10.4g}" for value in values), f" {unit:3}{ratio}")


if __name__ == "__main__":
    main()
