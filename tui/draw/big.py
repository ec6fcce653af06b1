"""Figures three rows tall, to be read from a ladder: digits, points and signs drawn with bars; any other text stands small at the foot."""

from __future__ import annotations

_BARS = {
    "0": (" _ ", "| |", "|_|"), "1": ("   ", "  |", "  |"), "2": (" _ ", " _|", "|_ "), "3": (" _ ", " _|", " _|"), "4": ("   ", "|_|", "  |"),
    "5": (" _ ", "|_ ", " _|"), "6": (" _ ", "|_ ", "|_|"), "7": (" _ ", "  |", "  |"), "8": (" _ ", "|_|", "|_|"), "9": (" _ ", "|_|", " _|"),
    "-": ("   ", " _ ", "   "), ".": (" ", " ", "."), ",": (" ", " ", ","),
}  # fmt: skip
ROWS = 3


def big(text: str) -> list[str]:
    """A text of a figure and its unit as three rows of one width."""
    figure, blank, unit = text.partition(" ")
    if not all(sign in _BARS for sign in figure):
        figure, blank, unit = "", "", text
    signs = [_BARS[sign] for sign in figure]
    rows = [" ".join(sign[row] for sign in signs) for row in range(ROWS)]
    foot = f"{blank}{unit}"
    return [*(row + " " * len(foot) for row in rows[:-1]), rows[-1] + foot]
