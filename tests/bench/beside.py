"""Keys beside a search that goes on: from a move of the cursor on the search's page to its answer, in a real pseudo-terminal.

Run `python -m tests.bench.beside [FOLDER]`; it takes about two minutes. With
the folder of another copy of the code both are timed, one after the other.
"""

from __future__ import annotations

import re
import shutil
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

from tests import ROOT
from tests.bench.latency import DESIGN, started
from tests.tui.terminal.pty_session import PtySession

TWO_FOUND = re.compile(r"^║ *2\.? ", re.MULTILINE)
SEARCHES = {"L": "jk", "D": "jk", "P": ("right", "left")}
_LONGEST, _BETWEEN, _NO_ANSWER = 20.0, 0.04, 1.0


def answers(session: PtySession, moves: str | tuple[str, ...]) -> list[float]:
    """Seconds from a key to the last byte of its answer, for as long as the search goes on; a key that moves nothing is left out."""
    found, number, began = list[float](), 0, time.monotonic()
    while "working" in session.text and time.monotonic() - began < _LONGEST:
        before, sent = session.received, time.monotonic()
        session.send(moves[number % len(moves)])
        number += 1
        while session.received == before and time.monotonic() - sent < _NO_ANSWER:
            session.listen(0.005)
        if session.received > before:
            found.append(session.heard - sent)
        session.listen(_BETWEEN)
    return sorted(found)


def main() -> None:
    """Print a line for each search and copy."""
    copies = [ROOT, *map(Path, sys.argv[1:2])]
    for key, moves in SEARCHES.items():
        for copy in copies:
            with TemporaryDirectory(prefix="beside") as folder:
                shutil.copy(copies[-1] / "saved_designs" / DESIGN, folder)
                with started(Path(folder), copy) as session:
                    session.settle()
                    session.send(key)
                    session.wait_for("working")
                    session.wait_for(lambda text: TWO_FOUND.search(text) is not None or "working" not in text)
                    times = answers(session, moves)
            p50, p95, longest = (1e3 * times[int((len(times) - 1) * share)] if times else 0.0 for share in (0.5, 0.95, 1.0))
            print(f"{key} {len(times):5} keys   p50 {p50:6.1f}   p95 {p95:6.1f}   longest {longest:6.1f} ms   {copy.name}", flush=True)


if __name__ == "__main__":
    main()
