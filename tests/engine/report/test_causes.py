"""Causes in words: what cannot be told apart is told as so many places, and a filter is asked about before it is blamed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine import load
from engine.design import Reading
from engine.field.causes.diagnosis import Candidate, Cause, diagnoses
from engine.field.causes.suspects import NOTHING
from engine.report.causes import cause_text, notes, rests_on, severities
from tests import SAVED_DESIGNS

DESIGN = load(SAVED_DESIGNS / "signal_box_mended.toml")
CLOG = Cause((Candidate("clog", "main", 0.5),), (0.6, 0.8), 0.5)


def test_what_cannot_be_told_apart_is_told_as_so_many_places():
    assert cause_text(CLOG) == "clog in main" and list(severities(CLOG)) == ["60 to 80 % of its bore shut"]
    two = replace(CLOG, candidates=(*CLOG.candidates, Candidate("clog", "drop", 0.2)))
    assert cause_text(two) == "clog, one of 2 places: main, drop"
    assert list(severities(two)) == ["clog in main: 60 to 80 % of its bore shut", "no reading so far tells these apart"]
    mixed = replace(CLOG, candidates=(*CLOG.candidates, Candidate("choked port", "saw/hood", 0.2)))
    assert cause_text(replace(two, beside=mixed)) == "clog, one of 2 places: main, drop; and one of 2: clog in main, choked port saw/hood"


@pytest.mark.parametrize("causes, state, told", [
    (["filter torn"], "used", "filter torn, or it was shaken since"), (["clog", "filter torn"], "dirty", "filter torn, or it was shaken since"),
    (["filter torn"], "clean", None), (["filter loaded"], "used", "filter loaded: the design says it is used"), (["filter loaded"], "dirty", None),
])  # fmt: skip
def test_the_state_of_a_filter_is_asked_about_before_it_is_blamed(causes, state, told):
    found = next(diagnoses(replace(DESIGN, readings=())))
    of_filter = replace(
        found, evidence=replace(found.evidence, state=state), causes=tuple(Cause((Candidate(each, "", 0.4),), None, 0.4) for each in causes)
    )
    said = [note for note in notes(DESIGN, of_filter) if note.startswith("filter")]
    assert [note.startswith(str(told)) for note in said] == [True] * bool(told)


def test_readings_stand_beside_the_best_cause_only_where_it_is_one():
    found = next(diagnoses(replace(DESIGN, readings=(Reading(what="filter drop", gate_set="planer alone", value="900 Pa"),))))
    for cause, words, columns in (("clog", "read, with nothing wrong, with clog in main", 3), (NOTHING, "read, with nothing wrong", 2)):
        best = Cause((Candidate(cause, "main", 0.4),), None, 0.4)
        head, row = rests_on(DESIGN, replace(found, causes=(best, *found.causes)))
        assert head == f"What it rests on: {words}" and row.count(" Pa") == columns


def test_one_reading_alone_is_never_called_enough():
    found = next(diagnoses(replace(DESIGN, readings=(Reading(what="filter drop", gate_set="planer alone", value="900 Pa"),))))
    following = next(diagnoses(replace(DESIGN, readings=()))).following
    first, last = (
        next(note for note in notes(DESIGN, replace(found, following=each)) if note.startswith("one reading alone")) for each in (following, None)
    )
    assert "take the next one" in first and "read it again" in last and "take the next one" not in last
