"""What is said outside the session: results on stdout, what is wrong on stderr in a line each, both safe to show on any terminal.

A stdout that takes nothing ends the command with a line and status 74, the one
that systems have for a failing output; a stderr that takes nothing changes no
status.
"""

from __future__ import annotations

import io
import os
import sys
from typing import TextIO

from engine.units.printable import printable

NO_OUTPUT = 74
# Columns of results: narrower, tables break; wider, sentences are hard to read.
_LEAST, _MOST = 80, 120


class NoOutputError(Exception):
    """Stdout takes nothing; str() is the reason of the system."""


def settle_streams() -> None:
    """Have all three streams, each with an encoding that takes any character.

    Closed ones would leave their numbers to the next file that is opened. For a
    closed stdout stands one that cannot be written to: it fails as a full one does.
    """
    for number, access in ((0, os.O_RDONLY), (1, os.O_RDONLY), (2, os.O_WRONLY)):
        try:
            os.fstat(number)
        except OSError:
            opened = os.open(os.devnull, access)
            if opened != number:
                os.dup2(opened, number)
                os.close(opened)
    sys.stdin = sys.stdin or open(0, closefd=False)  # noqa: SIM115  # they stay open as long as the process
    sys.stdout = sys.stdout or open(1, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
    sys.stderr = sys.stderr or open(2, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def tell(text: str) -> None:
    """Print results. Raises NoOutputError, BrokenPipeError."""
    try:
        print("\n".join(map(printable, text.split("\n"))), flush=True)
    except BrokenPipeError:
        raise
    except OSError as error:
        mute(sys.stdout)
        raise NoOutputError((error.strerror or "it cannot be written to").lower()) from None


def columns() -> int:
    """The columns to write results in: those of the terminal within reason, the least of them where they go elsewhere."""
    try:
        wide = os.get_terminal_size(sys.stdout.fileno()).columns
    except (OSError, ValueError):
        wide = 0
    return min(max(wide, _LEAST), _MOST)


def complain(text: str) -> None:
    """Say what is wrong, in a line of its own."""
    _to_stderr(f"kerfdraft: {printable(text)}\n")


def progress(text: str) -> None:
    """Say how far it has come, on a terminal, over what was said before."""
    if sys.stderr.isatty():
        _to_stderr(f"\r{printable(text)}\x1b[K")


def _to_stderr(text: str) -> None:
    try:
        sys.stderr.write(text)
        sys.stderr.flush()
    except OSError:
        mute(sys.stderr)


def mute(*streams: TextIO | None) -> None:
    """Send what is still to be printed on some streams nowhere: nobody reads it any more, and failing to print it at exit is no error."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in streams:
        if stream is not None:
            os.dup2(nowhere, stream.fileno())
    os.close(nowhere)
