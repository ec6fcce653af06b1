"""What was decided and measured follows the names of the design, and stays where what it points at is gone."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.design.differences import changes
from engine.design.names import label
from engine.design.places import (
    ACCEPTED,
    CHOICES,
    DESIGN,
    LEFT_OVER,
    LOG,
    OWN_LIMITS,
    READINGS,
    TEST_POINTS,
    GaugePointAt,
    MachineAt,
    PieceAt,
    PortAt,
    ReadingAt,
    Within,
    run_place,
)
from engine.design.rules.consistency import mistakes
from engine.edits import add_branch, at, delete, duplicate, insert, new_item, set_field
from engine.files.design_file import dumps, loads
from engine.units import parse
from tests.shops.design_texts import RECORDS, WHOLE
from tui.work.document import Document
from tui.work.edits.additions import additions
from tui.work.fields.fields import fields
from tui.work.fields.values import changed, read

DESIGN_WITH_RECORDS = loads(WHOLE + RECORDS)


def test_records_follow_a_new_name():
    design = DESIGN_WITH_RECORDS
    design = set_field(design, run_place(design, "planer drop"), "id", "planer way")
    design = set_field(design, run_place(design, "main"), "id", "trunk")
    design = set_field(design, GaugePointAt(0), "id", "T1")
    assert [accepted.at for accepted in design.accepted] == ["planer way"]
    assert [point.at for point in design.test_points] == ["trunk"]
    assert [reading.test_point for reading in design.readings] == ["T1", None]
    assert mistakes(design) == ()


def test_accepted_findings_follow_the_run_before_the_machine_of_a_name():
    design = set_field(DESIGN_WITH_RECORDS, run_place(DESIGN_WITH_RECORDS, "planer drop"), "id", "planer")
    assert design.accepted[0].at == "planer"
    assert set_field(design, MachineAt(0), "id", "jointer").accepted[0].at == "planer"
    assert set_field(design, run_place(design, "planer"), "id", "drop").accepted[0].at == "drop"


def test_records_stay_where_what_they_point_at_is_gone():
    design = delete(DESIGN_WITH_RECORDS, run_place(DESIGN_WITH_RECORDS, "planer drop"))
    design = delete(design, GaugePointAt(0))
    assert design.accepted == DESIGN_WITH_RECORDS.accepted and design.readings == DESIGN_WITH_RECORDS.readings
    assert mistakes(design) == () and loads(dumps(design)) == design


def test_what_is_measured_beyond_a_split_goes_with_the_run_that_takes_over():
    design = DESIGN_WITH_RECORDS
    near = replace(design.test_points[0], id="near")
    far = replace(near, id="far", from_collector=parse("3.9 m", "length"))
    design = replace(design, test_points=(near, far))
    after, _ = add_branch(design, PieceAt(0, 0))
    outer = next(run for run in after.runs if run.joins == "main" and run.as_ is None)
    kept = design.runs[0].pieces[0].length.si
    assert [point.at for point in after.test_points] == ["main", outer.id]
    assert after.test_points[1].from_collector.si == pytest.approx(3.9 - kept, abs=1e-3)
    assert mistakes(after) == ()


@pytest.mark.parametrize("rows", [ACCEPTED, CHOICES, OWN_LIMITS, TEST_POINTS, READINGS, LOG, LEFT_OVER])
def test_a_record_can_be_added_copied_and_taken_away(rows):
    design = DESIGN_WITH_RECORDS
    there = rows.row(len(at(design, rows)))
    longer = insert(design, there, new_item(design, there))
    assert mistakes(longer) == () and loads(dumps(longer)) == longer
    assert delete(longer, there) == design
    if rows != OWN_LIMITS:
        copied, place = duplicate(longer, there)
        assert mistakes(copied) == () and len(at(copied, rows)) == len(at(longer, rows)) + 1 and label(copied, place)


def test_each_list_of_records_can_be_added_to_from_the_design_itself():
    document = Document(DESIGN_WITH_RECORDS)
    document.select(DESIGN)
    assert {addition.place.rows for addition in additions(document)} == {ACCEPTED, CHOICES, OWN_LIMITS, TEST_POINTS, READINGS, LOG}


def typed(design, place, name, text):
    field = next(field for field in fields(design, place) if field.name == name)
    return changed(design, field, read(field, text, "metric"))[0]


def test_a_form_takes_a_body_a_date_and_a_range():
    design = DESIGN_WITH_RECORDS
    labels = {field.label: field for field in fields(design, MachineAt(0))}
    assert labels["size east"].place == Within(MachineAt(0), "size")
    after = changed(design, labels["size east"], read(labels["size east"], "1.1", "metric"))[0]
    after = typed(after, ReadingAt(1), "date", "2026-04-05")
    after = typed(after, PortAt(0, 0), "needs", "800 to 900")
    assert after.machines[0].ports[0].needs.text == "800 m3/h to 900 m3/h"
    assert after.machines[0].size.east.text == "1.1 m" and after.readings[1].date.isoformat() == "2026-04-05"
    assert mistakes(after) == () and loads(dumps(after)) == after
    told = [str(change) for change in changes(design, after)]
    assert told == [
        "planer size, east: 1.1 m, new",
        "planer/hood, needs: 820 m^3/h -> 800 m3/h to 900 m3/h",
        "reading 2, date: 2026-04-05, new",
    ]
