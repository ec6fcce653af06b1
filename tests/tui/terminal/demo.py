"""A session on a demo design in a pseudo-terminal, and what tests of it do and look at."""

from __future__ import annotations

import shutil
import signal
from pathlib import Path

from engine.design import Design, Straight
from engine.files.design_file import DesignFileError, load
from tests import SAVED_DESIGNS
from tests.tui.terminal.pty_session import PtySession

DEMO = "signal_box.toml"
TEXT = (SAVED_DESIGNS / DEMO).read_text()
# For tests of what becomes of unsaved work, not of when it is kept.
KEEPS_AT_ONCE = "from tui.keep import keeper; keeper.KEEP_AFTER = 0.001"
ALTERNATE_SCREEN = b"\x1b[?1049h"


def put_demo(home: Path) -> Path:
    """Copy the demo into a folder."""
    return Path(shutil.copy(SAVED_DESIGNS / DEMO, home))


def open_demo(home: Path, *options: str, **rest) -> PtySession:
    """A session on the demo in `home`, painted."""
    session = PtySession(*options, DEMO, home=home, **rest)
    session.wait_for(lambda text: "Signal-box luthiery" in text and "q quit" in text)
    return session


def select_first_straight(session: PtySession) -> None:
    """Go to the first straight of the main."""
    session.send("j")
    session.wait_for("2 straight of main")


def make_unsaved(session: PtySession) -> None:
    """Duplicate the first straight of the main."""
    select_first_straight(session)
    session.send("d")
    session.wait_for("not saved")


def type_length(session: PtySession, text: str) -> None:
    """Edit the length of what is selected, without leaving the field."""
    session.send("e")
    session.wait_for("accept")
    session.send(text)
    session.wait_for(f"[{text}")


def journals(folder: Path) -> list[Path]:
    """The journals in a folder, with or without work in them."""
    return sorted(folder.glob(".*.unsaved"))


def kept(folder: Path) -> list[Design]:
    """The unsaved work in a folder."""
    designs = []
    for path in journals(folder):
        try:
            designs.append(load(path))
        except (DesignFileError, FileNotFoundError):  # without work, or gone meanwhile
            continue
    return designs


def straights(design: Design) -> int:
    """How many straights the main has."""
    return len([piece for piece in design.runs[0].pieces if isinstance(piece, Straight)])


def cells(session: PtySession) -> list[list[tuple]]:
    """Every cell of the screen: letter, colours and attributes."""
    buffer = session.screen.buffer
    return [
        [(c.data, c.fg, c.bg, c.bold, c.reverse, c.underscore) for c in (buffer[y][x] for x in range(session.columns))] for y in range(session.rows)
    ]


def repainted(session: PtySession) -> list[list[tuple]]:
    """The same once the whole screen was painted anew: after a stop the session trusts nothing of it."""
    session.stop()
    entered = session.raw.count(ALTERNATE_SCREEN)
    session.process.send_signal(signal.SIGCONT)
    session.wait_until(lambda: session.raw.count(ALTERNATE_SCREEN) > entered)
    session.settle()
    return cells(session)
