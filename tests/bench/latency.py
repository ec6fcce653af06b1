"""The session as its user feels it, in a real pseudo-terminal: from a key to new results on the screen, bytes, memory, idling.

Run `python -m tests.bench.latency`; it takes about two minutes. An edit is a
digit typed into, or taken from, the length of the first straight of the boat
shed: every flow of every gate set is another one. It counts as painted when
the last byte of the answer has come.
"""

from __future__ import annotations

import os
import shutil
import time
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from tests import SAVED_DESIGNS
from tests.tui.terminal.pty_session import SESSION, PtySession

DESIGN = "boat_shed.toml"
TIMED, ALL = 200, 2000
IDLE = 5.0
_QUIET, _HASTE = 0.05, 0.012
_TICK = os.sysconf("SC_CLK_TCK")


def started(folder: Path) -> PtySession:
    """The session, painted."""
    session = PtySession(DESIGN, home=folder, program=SESSION)
    session.wait_for(lambda text: "Slipway" in text and "q quit" in text)
    session.settle()
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


def edits(session: PtySession, count: int, quiet: float) -> list[tuple[float, int]]:
    """Seconds and bytes of so many edits."""
    answers = []
    for number in range(count):
        answers.append(session.answer("backspace" if number % 2 else "2", quiet))
        if quiet >= _QUIET and "->" not in session.row(-2):
            raise RuntimeError(f"no new results after edit {number}\n{session.text}")
    return answers


def resident(session: PtySession) -> float:
    """Memory in use, MiB."""
    status = Path(f"/proc/{session.process.pid}/status").read_text()
    return int(status.partition("VmRSS:")[2].split()[0]) / 1024


def processor(session: PtySession) -> float:
    """Seconds of processor time so far."""
    fields = Path(f"/proc/{session.process.pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / _TICK


def main() -> None:
    """Print the table."""
    with TemporaryDirectory(prefix="latency") as folder:
        shutil.copy(SAVED_DESIGNS / DESIGN, folder)
        starts = []
        for _ in range(5):
            with started(Path(folder)) as session:
                starts.append(session.painted_after())
        with started(Path(folder)) as session:
            start_bytes, before = session.received, processor(session)
            session.settle(0.5)
            time.sleep(IDLE)
            idle, idle_bytes = processor(session) - before, session.received - start_bytes
            begin_edit(session)
            timed = edits(session, TIMED, _QUIET)
            early = resident(session)
            edits(session, ALL - TIMED, _HASTE)
            late = resident(session)
    seconds, sizes = (sorted(column) for column in zip(*timed, strict=True))
    print(f"first paint                    {min(starts):.2f} s best, {median(starts):.2f} s median of {len(starts)}; {start_bytes} bytes")
    p50, p95, longest = (1e3 * value for value in (median(seconds), seconds[len(seconds) * 95 // 100], seconds[-1]))
    print(f"key -> new results painted     p50 {p50:.1f} ms, p95 {p95:.1f} ms, longest {longest:.1f} ms over {TIMED} edits")
    print(f"bytes an edit                  p50 {median(sizes):.0f}, p95 {sizes[len(sizes) * 95 // 100]}, most {sizes[-1]}")
    print(f"memory                         {early:.1f} MiB after {TIMED} edits, {late:.1f} MiB after {ALL}")
    print(f"idle for {IDLE:g} s                   {1e3 * idle:.0f} ms of processor time, {idle_bytes} bytes")


if __name__ == "__main__":
    main()
