"""What pint said of units is kept between runs, and asked again as soon as it might be another answer."""

from __future__ import annotations

from importlib.util import spec_from_file_location

import pytest

from engine.units import spellings
from engine.units.spellings import Unit, unit_of
from tui.keep import unit_worths

TEXTS = ("m", "in", "degf", "m3/h", "lb/ft3", "in wg", "l/s")


@pytest.fixture
def asked(monkeypatch):
    """Nothing is known, and what pint is asked is counted."""
    counted = []
    ask = spellings._asked_for
    monkeypatch.setattr(spellings, "_said", {})
    monkeypatch.setattr(spellings, "_remembered", set())
    monkeypatch.setattr(spellings, "_asked_for", lambda powers: counted.append(powers) or ask(powers))
    unit_of.cache_clear()
    yield counted
    unit_of.cache_clear()


def another_run(asked) -> int:
    """How many units are known when it begins."""
    spellings._said.clear()
    spellings._remembered.clear()
    unit_of.cache_clear()
    asked.clear()
    unit_worths.recall()
    return len(spellings.said())


def test_a_second_run_asks_nothing_and_gets_the_same(asked):
    assert another_run(asked) == 0
    first = [unit_of(text) for text in TEXTS]
    unit_worths.keep()
    assert len(asked) == len(TEXTS) == another_run(asked)
    assert [unit_of(text) for text in TEXTS] == first and not asked
    assert all(type(unit) is Unit and hash(unit) for unit in first)


def test_a_unit_that_is_new_is_asked_for_and_kept_with_the_others(asked):
    unit_of("m")
    unit_worths.keep()
    another_run(asked)
    unit_of("ft")
    unit_worths.keep()
    assert len(asked) == 1 and another_run(asked) == 2


def test_nothing_is_written_where_nothing_is_new(asked):
    unit_of("m")
    unit_worths.keep()
    written = unit_worths.file().stat().st_mtime_ns
    another_run(asked)
    unit_of("m")
    unit_worths.keep()
    unit_worths.keep()
    assert unit_worths.file().stat().st_mtime_ns == written


def test_what_does_not_read_back_whole_is_nothing(asked):
    unit_of("in")
    unit_worths.keep()
    whole = unit_worths.file().read_bytes()
    for at in range(0, len(whole), 7):
        unit_worths.file().write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
        assert another_run(asked) == 0, at
    for broken in (b"", whole[:-1], whole + b" ", b"\xff" + whole):
        unit_worths.file().write_bytes(broken)
        assert another_run(asked) == 0, broken
    assert unit_of("in") == Unit(0.0254, 0.0, (("[length]", 1.0),)) and asked


def test_another_list_of_units_or_another_pint_is_asked_anew(asked, monkeypatch, tmp_path):
    unit_of("in")
    unit_worths.keep()
    with monkeypatch.context() as other:
        other.setattr(unit_worths, "UNITS", {**spellings.UNITS, "yard = 0.9144 * metre": "yd"})
        assert another_run(asked) == 0
    (tmp_path / "pint").mkdir()
    (tmp_path / "pint" / "__init__.py").write_text("")
    with monkeypatch.context() as other:
        other.setattr(unit_worths, "find_spec", lambda name: spec_from_file_location(name, tmp_path / name / "__init__.py"))
        assert another_run(asked) == 0
    assert another_run(asked) == 1


def test_a_folder_that_cannot_be_written_to_is_no_trouble(asked, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", "/proc/none")
    unit_of("in")
    unit_worths.keep()
    assert another_run(asked) == 0
