"""The terminal around the session: what must be set up before Textual is imported, and how the session ends."""

from __future__ import annotations

import gc
import os
import select
import sys
import termios
from collections.abc import MutableMapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from tui.draw.glyphs import LINE, Glyphs

if TYPE_CHECKING:
    from tui.work.document import Document

Colors = Literal["auto", "none", "16", "256", "truecolor"]
COLORS: tuple[Colors, ...] = ("auto", "none", "16", "256", "truecolor")

_SYSTEMS = {"auto": "auto", "none": "standard", "16": "standard", "256": "256", "truecolor": "truecolor"}
_PLAIN_TERMS = ("dumb", "unknown", "")
_PATIENCE = 1.0  # seconds
_MULTIPLEXED = ("SSH_CONNECTION", "SSH_TTY", "TMUX", "STY")


@dataclass(frozen=True, slots=True)
class Look:
    """How the session is drawn: the glyphs, the colours, and whether the mouse is listened to."""

    glyphs: Glyphs = LINE
    colors: Colors = "auto"
    mouse: bool | None = None


def refusal(environ: MutableMapping[str, str]) -> str | None:
    """Why no session can be shown here, in one line; None when one can."""
    if not all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr)):
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
    environ["TEXTUAL_FPS"] = "250"  # nothing moves by itself: what this shortens is the wait of a key for its answer
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
    """Open the session on a design file, or on the list of designs.

    The exit status: 0 left by its user, 1 stopped by an error of its own, 2 no
    session could be opened, 128 + the number of the signal that ended it.
    """
    from tui.work.document import Refused

    if why := refusal(os.environ):
        print(f"kerfdraft: {why}", file=sys.stderr)
        return 2
    gc.disable()  # what is imported stays: looking through it for garbage would only take time
    try:
        document, new = _opened(path)
    except Refused as reason:
        print(f"kerfdraft: {reason}", file=sys.stderr)
        return 2
    mouse = prepare(os.environ, look)
    from tui.app import KerfdraftApp
    from tui.keep import crash, first_days

    app = None
    before = termios.tcgetattr(sys.stdin)
    try:
        app = KerfdraftApp(document, look, new=new, greeting=first_days.greeting())
        gc.freeze()
        gc.enable()
        app.run(mouse=mouse)
    except Exception as error:  # an error before the session was shown or while it was taken down: the driver does not see it
        _restore(before)
        _say((app and app.last_words) or crash.report(app and app.journal, error))
        return 1
    _say(app.last_words)
    return app.return_code or 0


def _opened(path: Path | None) -> tuple[Document | None, Path | None]:
    """The design of a file, and the file that a new one is to go to where it is not there yet. Raises Refused.

    Where a session left unsaved work behind for a file that was never saved,
    a document for it is opened at once: the work is offered on it.
    """
    from tui.keep import file_names, locked_files
    from tui.work.document import Document, Refused

    if path is None:
        return None, None
    try:
        if not path.exists():
            path = file_names.as_path(str(path))
        is_new = not path.exists()
    except (OSError, ValueError):  # opening it says why
        is_new = False
    if not is_new:
        return Document.open(path), None
    if why := file_names.why_no_file(str(path)):
        raise Refused(f"{path}: {why}")
    return (Document.new(path), None) if any(locked_files.journals(path)) else (None, path)


def _restore(attributes: list) -> None:
    """Give the terminal back as it was found, if it is still there."""
    with suppress(OSError, termios.error):
        termios.tcsetattr(sys.stdin, termios.TCSANOW, attributes)
        print("\x1b[<u\x1b[?2004l\x1b[?1000l\x1b[?1003l\x1b[?1006l\x1b[?1004l\x1b[?1049l\x1b[?25h\x1b[?7h", end="", flush=True)


def _say(text: str) -> None:
    """Print to stderr; where the terminal is gone or takes nothing, let nothing more be tried there, not even at exit."""
    try:
        if not select.select([], [sys.stderr], [], _PATIENCE)[1]:
            mute()
            return
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
