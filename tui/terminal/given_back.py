"""The terminal given back at the end of the session, and the last words printed on it, if it is still there."""

from __future__ import annotations

import select
import sys
import termios
from contextlib import suppress
from typing import Any

from engine.units.printable import printable
from tui.terminal.streams import mute

_PATIENCE = 1.0  # seconds
_AS_BEFORE = "\x1b[<u\x1b[?2004l\x1b[?1000l\x1b[?1003l\x1b[?1006l\x1b[?1004l\x1b[?1049l\x1b[?25h\x1b[?7h"


def restore(attributes: list[Any]) -> None:
    """Give the terminal back as it was found, with the `attributes` it had then."""
    with suppress(OSError, termios.error):
        termios.tcsetattr(sys.stdin, termios.TCSANOW, attributes)
        print(_AS_BEFORE, end="", flush=True)


def say(text: str) -> None:
    """Print to stderr; where the terminal is gone or takes nothing, let nothing more be tried there, not even at exit."""
    try:
        if not select.select([], [sys.stderr], [], _PATIENCE)[1]:
            mute(sys.__stdout__, sys.__stderr__)
            return
        print(*map(printable, text.splitlines()), sep="\n", end="\n" if text else "", file=sys.stderr, flush=True)
        sys.stdout.flush()
    except OSError:
        mute(sys.__stdout__, sys.__stderr__)
