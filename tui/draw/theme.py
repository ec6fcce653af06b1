"""Colours: themes for Textual and the style of each role of drawn text.

Three themes leave the terminal's own background alone: "dark" and "light" for
terminals of that shade, in hues that colour-blind eyes tell apart (M. Okabe
and K. Ito, "Color Universal Design", 2008; darkened by a third for "light"),
and "sixteen" in the terminal's own sixteen colours. Colour never says
anything alone: a mark, a word or a glyph stands beside it.
"""

from __future__ import annotations

from functools import cache

from rich.style import Style
from textual.theme import Theme

DEFAULT_THEME = "dark"

# Hue of each meaning, by theme.
_HUES: dict[str, dict[str, str]] = {
    "dark": {
        "good": "#009E73", "bad": "#D55E00", "careful": "#E69F00", "note": "#56B4E9",
        "accent": "#56B4E9", "changed": "#F0E442", "second": "#CC79A7",
    },
    "light": {
        "good": "#006A4D", "bad": "#9A4400", "careful": "#8A5F00", "note": "#00609A",
        "accent": "#00609A", "changed": "#8A2D63", "second": "#8A2D63",
    },
    "sixteen": {
        "good": "green", "bad": "red", "careful": "yellow", "note": "cyan",
        "accent": "cyan", "changed": "magenta", "second": "magenta",
    },
}  # fmt: skip

# Role -> (hue or "", attributes of a Rich style).
_ROLES: dict[str, tuple[str, str]] = {
    "text": ("", ""),
    "dim": ("", "dim"),
    "label": ("", ""),
    "value": ("", "bold"),
    "title": ("accent", ""),
    "title-focus": ("accent", "bold"),
    "frame": ("", "dim"),
    "frame-focus": ("accent", ""),
    "cursor": ("", "reverse"),
    "chosen": ("", "underline"),
    "field": ("", "reverse"),
    "edit": ("", "underline"),
    "ok": ("good", ""),
    "fault": ("bad", "bold"),
    "caution": ("careful", ""),
    "accepted": ("", "dim"),
    "note": ("note", ""),
    "changed": ("changed", "bold"),
    "key": ("accent", "bold"),
    "bar": ("accent", ""),
    "supply": ("accent", ""),
    "demand": ("second", ""),
}


def _theme(name: str, dark: bool) -> Theme:
    hues = {meaning: hue if hue.startswith("#") else f"ansi_{hue}" for meaning, hue in _HUES[name].items()}
    plain, ink = ("ansi_black", "ansi_white") if dark else ("ansi_white", "ansi_black")
    return Theme(
        name=name, ansi=True, dark=dark,
        primary=hues["accent"], secondary=hues["second"], accent=hues["accent"],
        warning=hues["careful"], error=hues["bad"], success=hues["good"],
        foreground="ansi_default", background="ansi_default", surface="ansi_default",
        panel="ansi_default", boost="ansi_default",
        variables={
            "ansi-background": plain,
            "ansi-foreground": ink,
            "border": hues["accent"],
            "border-blurred": "ansi_default",
            "block-cursor-foreground": plain,
            "block-cursor-background": ink,
            "input-cursor-text-style": "reverse",
            "input-selection-background": ink,
            "input-selection-foreground": plain,
            "footer-key-foreground": hues["accent"],
        },
    )  # fmt: skip


THEMES = (_theme("dark", True), _theme("light", False), _theme("sixteen", True))


@cache
def role_style(theme: str, role: str) -> Style:
    """The Rich style of a role in a theme; roles joined by a space add up ("fault cursor").

    Raises KeyError for a role that is not listed.
    """
    hues = _HUES.get(theme, _HUES[DEFAULT_THEME])
    style = Style()
    for part in role.split():
        hue, attributes = _ROLES[part]
        style += Style.parse(f"{attributes} {hues[hue] if hue else ''}".strip() or "none")
    return style
