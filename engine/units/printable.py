"""Text from outside made safe to show: of a design, a file's name, an argument, the name of a process or a computer."""

from __future__ import annotations


def printable(text: str) -> str:
    """The text with "?" for what a terminal would obey, what turns or hides the writing, and what is no character.

    Spaces of other widths become plain ones. The length in characters stays.
    """
    return text if text.isprintable() else "".join(letter if letter.isprintable() else _instead_of(letter) for letter in text)


def _instead_of(letter: str) -> str:
    import unicodedata  # slow to load, and hardly ever wanted

    return " " if unicodedata.category(letter) == "Zs" else "?"
