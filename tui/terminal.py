"""The terminal around the session: what must be set up before Textual is imported, and how the session ends."""

from __future__ import annotations

import os
import sys
import termios
from collections.abc import MutableMapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

Glyphs = Literal["ascii", "line", "fine"]
Colors = Literal["auto", "none", "16", "256", "truecolor"]
GLYPHS: tuple[Glyphs, ...] = ("line", "ascii", "fine")
COLORS: tuple[Colors, ...] = ("auto", "none", "16", "256", "truecolor")

_SYSTEMS = {"auto": "auto", "none": "standard", "16": "standard", "256": "256", "truecolor": "truecolor"}
_PLAIN_TERMS = ("dumb", "unknown", "")
_MULTIPLEXED = ("SSH_CONNECTION", "SSH_TTY", "TMUX", "STY")


@dataclass(frozen=True, slots=True)
class Look:
    """How the session is drawn: the glyphs, the colours, and whether the mouse is listened to."""

    glyphs: Glyphs = "line"
    colors: Colors = "auto"
    mouse: bool | None = None


def refusal(environ: MutableMapping[str, str]) -> str | None:
    """Why no session can be shown here, in one line; None when one can."""
    if not (sys.stdin.isatty() and sys.stdout.isatty() and sys.stderr.isatty()):
        return "the session needs a terminal; `kerfdraft check FILE` works without one"
    if environ.get("TERM", "") in _PLAIN_TERMS:
        return f"the terminal TERM={environ.get('TERM', '')!r} cannot show the session; `kerfdraft check FILE` works in it"
    return None


def is_remote(environ: MutableMapping[str, str]) -> bool:
    """Whether bytes are dear or keys pass through other hands: SSH, a multiplexer, or a bare console."""
    return any(environ.get(name) for name in _MULTIPLEXED) or environ.get("TERM", "").split("-")[0] in ("linux", "screen", "tmux")


def prepare(environ: MutableMapping[str, str], look: Look) -> bool:
    """Set what Textual reads from the environment when it is imported; whether the mouse is to be on."""
    environ["TEXTUAL_ANIMATIONS"] = "none"
    environ["TEXTUAL_SMOOTH_SCROLL"] = "0"
    environ["TEXTUAL_COLOR_SYSTEM"] = _SYSTEMS[look.colors]
    if look.colors == "none":
        environ["NO_COLOR"] = "1"
    elif look.colors != "auto":
        environ.pop("NO_COLOR", None)
    remote = is_remote(environ)
    if remote:
        environ["TEXTUAL_DISABLE_KITTY_KEY"] = "1"
        environ.setdefault("ESCDELAY", "250")
    return look.mouse if look.mouse is not None else not remote


def run_session(path: Path | None, look: Look) -> int:
    """Open the session on a design file, or on the list of designs; the exit status."""
    if why := refusal(os.environ):
        print(f"kerfdraft: {why}", file=sys.stderr)
        return 2
    document = None
    if path is not None:
        from tui.document import Document, Refused

        try:
            document = Document.open(path) if path.exists() else Document.new(path)
        except Refused as error:
            print(f"kerfdraft: {error}", file=sys.stderr)
            return 2
    mouse = prepare(os.environ, look)
    from tui import crash
    from tui.app import KerfdraftApp

    app = KerfdraftApp(document, look)
    before = termios.tcgetattr(sys.stdin)
    try:
        app.run(mouse=mouse)
    except Exception as error:  # an error while the session was being taken down: the driver did not get to do this
        _restore(before)
        app.last_words = app.last_words or crash.report(app.document, error)
        _say(app.last_words)
        return 1
    _say(app.last_words)
    return app.return_code or 0


def _restore(attributes: list) -> None:
    """Give the terminal back as it was found."""
    termios.tcsetattr(sys.stdin, termios.TCSANOW, attributes)
    print("\x1b[<u\x1b[?2004l\x1b[?1000l\x1b[?1003l\x1b[?1004l\x1b[?1049l\x1b[?25h\x1b[?7h", end="", flush=True)


def _say(text: str) -> None:
    """Print to stderr; where the terminal is gone, let nothing more be tried there, not even at exit."""
    try:
        print(text, end="\n" if text else "", file=sys.stderr, flush=True)
        sys.stdout.flush()
    except OSError:
        mute()


def mute() -> None:
    """Send what is still to be printed nowhere: nobody reads it any more, and failing to print it is no error."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in (sys.__stdout__, sys.__stderr__):
        os.dup2(nowhere, stream.fileno())
    os.close(nowhere)
