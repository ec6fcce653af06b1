"""What the terminal sends, cut into whole keys: an escape sequence is one, however slowly its bytes come, and so is a paste.

An Esc by itself is told from the first byte of a sequence by the pause behind
it. Whatever else of a sequence has come is kept until the rest is there: no
byte of it may act as a key, but an O late behind an Esc with nothing behind it.
A paste whose end does not come ends after a pause.
"""

from __future__ import annotations

import re
from collections.abc import Container, Generator, Iterator

from engine.units.printable import printable

ESCAPE = "\x1b"
PASTE_BEGINS, PASTE_ENDS = "\x1b[200~", "\x1b[201~"
MOST_PASTED = 1 << 20  # characters; what goes beyond is left out
PASTE_PAUSE = 2.0  # seconds
_LATE = 0.3  # seconds after an Esc by itself in which what leads on a sequence still belongs to it
_ALONE = 0.5  # seconds after which an O that came so, with nothing behind it, is a key: the sequences it leads on are rare, and Esc O is not
_LEADS_ON = "[O"
# Of the console's function keys, of an old mouse, of ECMA-48's control sequences, of keypads.
_WHOLE = re.compile(r"\x1b(?:\[\[[@-~]|\[M...|\[(?!\[|M)[0-?]*[ -/]*[@-~]|O[0-9;]*[^0-9;\x00-\x1f])", re.DOTALL)
_BEGUN = re.compile(r"\x1b(?:\[(?:\[|M.{0,2}|[0-?]*[ -/]*)|O[0-9;]*)?", re.DOTALL)
_LONGEST = 64
_TEXT = re.compile(r"[^\n\r\t]+")


class Sequences:
    """Characters in, whole keys out: a character, Esc by itself, an escape sequence, or a paste between its two marks.

    `known`: the sequences that are whole although their form says that they go on; `pause`: seconds behind an Esc by itself.
    """

    def __init__(self, known: Container[str], pause: float) -> None:
        self._known, self._pause = known, pause
        self._begun = ""  # of a sequence
        self._led_on = False  # by a letter that came late
        self._pasted: str | None = None  # so far, in a paste
        self._heard = self._escaped = float("-inf")

    def fed(self, text: str, now: float) -> Iterator[str]:
        """What becomes whole with a text that comes at a time, in seconds of any clock."""
        self._heard = now
        while text:
            if self._pasted is not None:
                text = yield from self._in_paste(text)
            else:
                letter, text = text[0], text[1:]
                yield from self._taken(letter, now)

    def paused(self, now: float) -> Iterator[str]:
        """What is whole because nothing more has come until now."""
        if self._begun == ESCAPE and now - self._heard >= self._pause:
            self._begun, self._escaped = "", now
            yield ESCAPE
        elif self._led_on and self._begun == "\x1bO" and now - self._heard >= _ALONE:
            self._begun = ""
            yield "O"
        elif self._pasted is not None and now - self._heard >= PASTE_PAUSE:
            yield from self._end_paste(self._pasted)

    def _taken(self, letter: str, now: float) -> Iterator[str]:
        if not self._begun:
            self._led_on = letter in _LEADS_ON and now - self._escaped <= _LATE
            self._begun = ESCAPE if self._led_on else ""
        self._escaped = float("-inf")
        grown = self._begun + letter
        if not self._begun and letter != ESCAPE:
            yield letter
        elif grown == PASTE_BEGINS:
            self._begun, self._pasted = "", ""
        elif _WHOLE.fullmatch(grown) or (len(grown) > len("\x1b[") and grown in self._known):
            self._begun = ""
            yield grown
        elif _BEGUN.fullmatch(grown):
            self._begun = grown if len(grown) <= _LONGEST else self._begun
        else:
            yield from self._broken_off(letter, now)

    def _broken_off(self, letter: str, now: float) -> Iterator[str]:
        """A sequence that does not go on: Esc by itself, or one that is let go."""
        begun, self._begun = self._begun, ""
        if begun == ESCAPE:
            yield ESCAPE
        yield from self._taken(letter, now)

    def _in_paste(self, text: str) -> Generator[str, None, str]:
        """Take what belongs to a paste; returns the rest."""
        assert self._pasted is not None
        looked_at = max(len(self._pasted) - len(PASTE_ENDS), 0)
        pasted = self._pasted + text
        ends = pasted.find(PASTE_ENDS, looked_at)
        if ends < 0:
            self._pasted = pasted if len(pasted) <= MOST_PASTED else pasted[: MOST_PASTED - len(PASTE_ENDS)] + pasted[-len(PASTE_ENDS) :]
            return ""
        yield from self._end_paste(pasted[:ends])
        return pasted[ends + len(PASTE_ENDS) :]

    def _end_paste(self, pasted: str) -> Iterator[str]:
        self._pasted = None
        yield PASTE_BEGINS + _TEXT.sub(lambda found: printable(found[0]), pasted) + PASTE_ENDS
