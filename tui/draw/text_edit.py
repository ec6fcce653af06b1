"""One line of text being edited: the text, the cursor, and whether all of it is selected. Immutable."""

from __future__ import annotations

from rich.cells import cell_len

from engine.units.printable import printable
from engine.values import dataclass
from tui.draw.lines import Line

LONGEST = 4000


@dataclass(frozen=True, slots=True)
class TextEdit:
    """`at` is the cursor, before the character of that index; `whole` means that all is selected."""

    text: str
    at: int
    whole: bool = False

    @classmethod
    def of(cls, text: str) -> TextEdit:
        """Start editing with the text selected."""
        return cls(text, len(text), bool(text))

    def insert(self, typed: str) -> TextEdit:
        """Put in what was typed or pasted, without control characters; it replaces what is selected."""
        typed = "".join(letter for letter in typed if letter.isprintable())
        if self.whole:
            return TextEdit(typed[:LONGEST], min(len(typed), LONGEST))
        text = self.text[: self.at] + typed + self.text[self.at :]
        return TextEdit(text, self.at + len(typed)) if len(text) <= LONGEST else self

    def key(self, key: str) -> TextEdit | None:
        """What an editing key makes of it; None for a key that does not edit."""
        text, at = self.text, self.at
        if self.whole and key in ("backspace", "delete", "ctrl+u", "ctrl+w", "ctrl+k"):
            return TextEdit("", 0)
        match key:
            case "left":
                return TextEdit(text, 0 if self.whole else max(at - 1, 0))
            case "right":
                return TextEdit(text, len(text) if self.whole else min(at + 1, len(text)))
            case "home":
                return TextEdit(text, 0)
            case "end":
                return TextEdit(text, len(text))
            case "backspace":
                return TextEdit(text[: max(at - 1, 0)] + text[at:], max(at - 1, 0))
            case "delete":
                return TextEdit(text[:at] + text[at + 1 :], at)
            case "ctrl+u":
                return TextEdit(text[at:], 0)
            case "ctrl+k":
                return TextEdit(text[:at], at)
            case "ctrl+w":
                kept = text[:at].rstrip()
                kept = kept[: kept.rfind(" ") + 1]
                return TextEdit(kept + text[at:], len(kept))
        return None

    def typed(self, key: str, character: str | None) -> TextEdit | None:
        """What a key makes of it, be it one that edits or one that types its character; None for any other."""
        if (edited := self.key(key)) is not None:
            return edited
        return self.insert(character) if character and _types(key, character) else None

    def takes(self, key: str, character: str | None) -> bool:
        """Whether a key edits or types, as `typed` would carry it out."""
        return _types(key, character) or self.key(key) is not None

    def shown(self, width: int) -> Line:
        """The text in `width` cells, the part around the cursor where it is longer; the cursor in reverse."""
        start = 0
        while cell_len(self.text[start : self.at]) >= width:
            start += 1
        before, under, after = self.text[start : self.at], self.text[self.at : self.at + 1] or " ", self.text[self.at + 1 :]
        if self.whole and cell_len(self.text) < width:
            return ((printable(self.text), "field"), (" ", "edit"))
        return ((before, "edit"), (under, "field"), (after, "edit"))


def _types(key: str, character: str | None) -> bool:
    """Whether a key types its character."""
    return bool(character and character.isprintable()) and not key.startswith(("ctrl+", "alt+"))
