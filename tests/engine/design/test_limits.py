"""One gate: what the reader of files refuses, a design made in any other way is refused for too."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.design import Cleanout, Gate, GateSet, Straight
from engine.design.limits import LONGEST_NOTES, MOST_ROWS
from engine.design.names import LONGEST_NAME
from engine.design.rules.consistency import mistakes
from engine.files.design_file import DesignFileError, loads, save
from engine.units import Quantity
from tests.shops.one_drop import TEXT, design

UNFIT = ["\x1b", "\x00", "\t", "\n", "\x7f", "\x85", "\u00ad", "\u200b", "\ufeff", "\u202e", "\u2028", "\ud800"]


def with_name(name: str):
    made = design()
    return replace(made, name=name)


def with_run(**changes):
    made = design()
    return replace(made, runs=(replace(made.runs[0], **changes), *made.runs[1:]))


@pytest.mark.parametrize("letter", UNFIT, ids=lambda letter: f"U+{ord(letter):04X}")
def test_a_letter_that_a_file_may_not_hold_no_name_may(tmp_path, letter):
    text = f"a{letter}b"
    for made in (
        with_name(text),
        with_run(pieces=(Cleanout(name=text),)),
        with_run(pieces=(Gate(name=text),)),
        replace(design(), gate_sets=(GateSet(name=text, open=("saw",)),)),
    ):
        (mistake,) = mistakes(made)
        assert mistake.wanted == "plain text" and f"U+{ord(letter):04X}" in mistake.found
        with pytest.raises(DesignFileError, match="plain text"):
            save(made, tmp_path / "shop.toml")
    assert list(tmp_path.iterdir()) == []


def test_notes_may_have_lines_and_joiners_spell_names():
    assert mistakes(replace(design(), notes="a\n\tb")) == ()
    assert mistakes(with_name("कार्य\u200dशाला")) == ()


@pytest.mark.parametrize(
    ("made", "wanted"),
    [
        (with_name("x" * (LONGEST_NAME + 1)), f"at most {LONGEST_NAME} characters"),
        (with_name("  "), "a text: "),
        (replace(design(), notes="x" * (LONGEST_NOTES + 1)), f"at most {LONGEST_NOTES} characters"),
        (with_run(pieces=(Straight(length=Quantity(1.0, "1 m")),) * (MOST_ROWS + 2)), f"at most {MOST_ROWS}"),
        (with_run(pieces=(Straight(length=Quantity(-1.0, "-1 m")),)), "a length with a unit"),
        (with_run(pieces=(Straight(length=Quantity(float("nan"), "nan m")),)), "a length with a unit"),
    ],
    ids=["long name", "blank name", "long notes", "many pieces", "below the range", "no number"],
)
def test_what_a_file_could_not_give_back_is_told_before_it_is_saved(tmp_path, made, wanted):
    (mistake,) = mistakes(made)
    assert wanted in mistake.wanted
    with pytest.raises(DesignFileError):
        save(made, tmp_path / "shop.toml")


def test_a_word_in_place_of_a_quantity_is_within_any_range():
    blunt = TEXT.replace('size = "pipe/125"', 'size = "pipe/125"\ntaper = "blunt"')
    assert mistakes(loads(blunt)) == ()
