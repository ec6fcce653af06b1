"""Whole keys out of what a terminal sends, at whatever pace it comes."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tui.terminal.sequences import ESCAPE, MOST_PASTED, PASTE_BEGINS, PASTE_ENDS, PASTE_PAUSE, Sequences

PAUSE = 0.1
KNOWN = ("\x1b", "\x1b[23$")
KEYS = (
    "\x1b[A",
    "\x1bOP",
    "\x1b[1;5C",
    "\x1b[[A",
    "\x1b[M !!",
    "\x1b[<0;12;7M",
    "\x1b[23$",
    "\x1b[?2026;2$y",
    "\x1b[99;99;99z",
    "\x1bO5A",
    "\x1b[13;2u",
)


def keys(*texts: str | float) -> list[str]:
    """What comes of texts, with pauses between them, in seconds; nothing is waited for behind the last."""
    sequences, now, found = Sequences(KNOWN, PAUSE), 0.0, []
    for text in texts:
        if isinstance(text, str):
            found += sequences.fed(text, now)
        else:
            now += text
        found += sequences.paused(now)
    return found


@pytest.mark.parametrize("key", KEYS)
@pytest.mark.parametrize("pause", [0.0, 0.25, 30.0])
def test_a_sequence_is_one_key_however_slowly_it_comes_behind_its_second_byte(key, pause):
    rest = [part for letter in key[2:] for part in (pause, letter)]
    assert keys(key[:2], *rest, "j") == [key, "j"]


@pytest.mark.parametrize("key", ["\x1b[A", "\x1bOP"])
def test_what_comes_late_behind_an_esc_still_belongs_to_it(key):
    assert keys(key[0], 0.25, key[1:], "j") == [ESCAPE, key, "j"]
    assert keys(key[0], 0.15, 0.2, key[1], 0.4, key[2]) == [ESCAPE, key]
    assert keys(key[0], 0.15, 0.4, key[1:]) == [ESCAPE, *key[1:]]


def test_an_o_late_behind_an_esc_is_a_key_once_nothing_has_come_behind_it():
    """So is no [: of the sequences that it leads on the arrows are one, and no byte of them may act by itself."""
    assert keys(ESCAPE, 0.25, "O", 0.6) == [ESCAPE, "O"] and keys(ESCAPE, 0.25, "O", 0.6, "O") == [ESCAPE, "O", "O"]
    assert keys(ESCAPE, 0.25, "[", 9.0, "A") == [ESCAPE, "\x1b[A"]
    assert keys("\x1bO", 9.0, "P") == ["\x1bOP"]


def test_an_esc_by_itself_is_told_by_the_pause_or_by_what_follows():
    assert keys(ESCAPE) == [] and keys(ESCAPE, PAUSE) == [ESCAPE]
    assert keys(ESCAPE, "j") == [ESCAPE, "j"]
    assert keys("\x1b\x1b[A") == [ESCAPE, "\x1b[A"]
    assert keys("\x1b\x1b", PAUSE) == [ESCAPE, ESCAPE]
    assert keys(ESCAPE, 0.2, "j[") == [ESCAPE, "j", "["]


def test_what_breaks_a_sequence_off_counts_by_itself():
    assert keys("\x1b[12\r") == ["\r"] and keys("\x1b[12\x11j") == ["\x11", "j"]
    assert keys("\x1b[12\x1b[A") == ["\x1b[A"]
    assert keys("\x1b[" + "1" * 500 + "Aj")[-1] == "j"


def test_a_paste_is_one_whatever_is_in_it():
    assert keys("a" + PASTE_BEGINS + "jx\x1b[31m", 1.0, "\rq" + PASTE_ENDS + "b") == ["a", f"{PASTE_BEGINS}jx?[31m\rq{PASTE_ENDS}", "b"]
    assert keys(PASTE_BEGINS + "1\xa0200\t3\n\x9b\u202e" + PASTE_ENDS) == [f"{PASTE_BEGINS}1 200\t3\n??{PASTE_ENDS}"]
    assert keys(*PASTE_BEGINS, "x", *PASTE_ENDS) == [f"{PASTE_BEGINS}x{PASTE_ENDS}"]


def test_a_paste_whose_end_does_not_come_ends_after_a_pause():
    assert keys(PASTE_BEGINS, "x", PASTE_PAUSE - 0.1, "y", PASTE_PAUSE - 0.1) == []
    assert keys(PASTE_BEGINS, "x", PASTE_PAUSE, "j") == [f"{PASTE_BEGINS}x{PASTE_ENDS}", "j"]


def test_a_paste_takes_no_more_than_it_may():
    pasted, key = keys(PASTE_BEGINS, *["x" * 100_000] * 30, PASTE_ENDS + "j")
    assert MOST_PASTED - 20 < len(pasted) <= MOST_PASTED + len(PASTE_BEGINS + PASTE_ENDS) and key == "j"


@given(st.lists(st.sampled_from([*KEYS, "j", "é", "\r", PASTE_BEGINS + "p" + PASTE_ENDS])), st.lists(st.integers(0, 80)))
def test_where_a_line_cuts_its_bytes_changes_nothing(sent, cuts):
    text = "".join(sent)
    parts = [text[a:b] for a, b in pairwise(sorted({0, len(text), *(min(cut, len(text)) for cut in cuts)}))]
    assert keys(*parts) == keys(text) == sent
