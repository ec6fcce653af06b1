"""The characters that a session draws with, one set for each look.

"ascii" has nothing else; "line" holds only what the kernel's console font
shows; "fine" adds braille, for eight dots in a cell. Whoever draws is handed
a set and takes its characters: nothing asks which one it is.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from engine.values import dataclass


@dataclass(frozen=True, slots=True, eq=False)
class Glyphs:
    """One set. Several characters in a string are told apart by their order."""

    name: str
    # Where a text is cut, between two things of a row.
    cut: str
    divider: str
    # Without and with the focus: corners clockwise from the top left, then the horizontal and the vertical edge.
    frames: tuple[tuple[str, ...], tuple[str, ...]]
    # There is more above and below; a row that is open and one that is folded.
    more: tuple[str, str]
    folds: tuple[str, str]
    # Keys: to the sides, and all four ways; where north is.
    sideways: str
    arrows: str
    north: str
    # Parts of scales and rules: ends, what is between them, a crossing, a dot for what hardly counts.
    left: str
    right: str
    flat: str
    cross: str
    dot: str
    # A bar: a whole cell and half of one.
    bar: tuple[str, str]
    # Four grades, the best first.
    shades: str
    # Lines by the arms that leave a cell (1 north, 2 east, 4 south, 8 west), single and double.
    strokes: tuple[str, str]
    # A curve, solid and dotted: from the top of a cell to its bottom, then where it is steep.
    curves: tuple[tuple[str, str], tuple[str, str]]
    # By kind: single marks, what lies behind lines, what lies behind everything.
    marks: Mapping[str, str]
    trails: Mapping[str, str]
    grounds: Mapping[str, str]
    # Whether there is braille: curves and slanting lines in dots, eight in a cell.
    braille: bool = False


ASCII = Glyphs(
    name="ascii",
    cut="~", divider=" | ",
    frames=(tuple("++++-|"), tuple("####=#")), more=("^", "v"), folds=("-", "+"),
    sideways="<- ->", arrows="arrows", north="^",
    left="|", right="|", flat="-", cross="+", dot=".",
    bar=("#", "="), shades="abcd",
    strokes=(" |-+||++-+-+++++", " #=+##++=+=+++++"),
    curves=(("*", "*"), (".", ":")),
    marks={"ring": "o", "shut": "x", "machine": "M", "port": "m", "down": "v", "up": "^", "asked": ".", "hardest": "X"},
    trails={"hose": "~", "still": ".", "wide still": ":"},
    grounds={"wall": "%", "post": "@", "door": "_", "keep clear": "/", "collector place": "c", "body": ","},
)  # fmt: skip

LINE = Glyphs(
    name="line",
    cut="»", divider=" · ",
    frames=(tuple("┌┐┘└─│"), tuple("╔╗╝╚═║")), more=("▲", "▼"), folds=("▼", "►"),
    sideways="← →", arrows="←↑↓→", north="↑",
    left="├", right="┤", flat="─", cross="┼", dot="·",
    bar=("█", "▌"), shades="█▓▒░",
    strokes=(" │─└││┌├─┘─┴┐┤┬┼", " ║═╚║║╔╠═╝═╩╗╣╦╬"),
    curves=(("▀▄", "█"), ("°·.", ":")),
    marks={"ring": "○", "shut": "x", "machine": "■", "port": "•", "down": "▼", "up": "▲", "asked": "•", "hardest": "X"},
    trails={"hose": "~", "still": "·", "wide still": ":"},
    grounds={"wall": "▒", "post": "▓", "door": "_", "keep clear": "/", "collector place": "c", "body": ","},
)  # fmt: skip

FINE = replace(LINE, name="fine", cut="…", braille=True)

# By name, the usual one first.
GLYPHS: Mapping[str, Glyphs] = {glyphs.name: glyphs for glyphs in (LINE, ASCII, FINE)}
