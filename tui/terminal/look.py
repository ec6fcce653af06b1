"""How the session is drawn, and what must be set for it before Textual is imported."""

from __future__ import annotations

import sys
from collections.abc import MutableMapping
from typing import Literal

from engine.values import dataclass
from tui.draw.glyphs import LINE, Glyphs

Colors = Literal["auto", "none", "16", "256", "truecolor"]
COLORS: tuple[Colors, ...] = ("auto", "none", "16", "256", "truecolor")

_SYSTEMS = {"auto": "auto", "none": "standard", "16": "standard", "256": "256", "truecolor": "truecolor"}
_PLAIN_TERMS = ("dumb", "unknown", "")
_MULTIPLEXED = ("SSH_CONNECTION", "SSH_TTY", "TMUX", "STY")


@dataclass(frozen=True, slots=True)
class Look:
    """How the session is drawn: the glyphs, the colours, and whether the mouse is listened to."""

    glyphs: Glyphs = LINE
    colors: Colors = "auto"
    mouse: bool | None = None


USUAL = Look()


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
    for name in ("COLUMNS", "LINES"):  # the terminal knows its size; these may be anything
        environ.pop(name, None)
    environ["TEXTUAL_ANIMATIONS"] = "none"
    environ["TEXTUAL_SMOOTH_SCROLL"] = "0"
    environ["TEXTUAL_FPS"] = "1000"  # nothing moves by itself: what this shortens is the wait of a key for its answer
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
