"""The fields of the piece pane: what they hold, how they are read, and what an edit brings with it."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest

from engine import edits
from engine.air.one.balance import part_losses
from engine.checks.assess import assess
from engine.design import Design, Throttle, joins_as
from engine.design.entries import entries
from engine.design.places import (
    COLLECTOR,
    CONVEYING,
    CURVE,
    DESIGN,
    GATE_SETS,
    LEAKAGE,
    LOSSES,
    MACHINES,
    OUTLET,
    SITE,
    STOCK,
    CurvePointAt,
    EndOf,
    GateSetAt,
    JointOf,
    LossAt,
    MachineAt,
    OutletPieceAt,
    PieceAt,
    PortAt,
    RunAt,
    SizeAt,
    StockAt,
    ThrottleAt,
)
from engine.design.rules.consistency import mistakes
from tests.shops import two_drops
from tui.draw.glyphs import LINE
from tui.draw.lines import text_of, width_of
from tui.draw.text_edit import TextEdit
from tui.panes.form.facts import facts
from tui.panes.form.lines import Editing, echo_lines, field_line, label_cells, meaning_lines, trouble_lines
from tui.work.fields.fields import Field, fields
from tui.work.fields.size_preview import stepped
from tui.work.fields.values import BadValue, changed, cycled, echo, read


@pytest.fixture(scope="module")
def design() -> Design:
    return two_drops.design(two_drops.FULL)


@pytest.fixture(scope="module")
def full():
    return two_drops.assessed(two_drops.FULL)


def field_of(design: Design, place, name: str) -> Field:
    return next(field for field in fields(design, place) if field.name == name)


def after(design: Design, place, name: str, text: str) -> Design:
    """The design after `text` was typed into a field; it must be consistent."""
    field = field_of(design, place, name)
    new, _ = changed(design, field, read(field, text, "metric"))
    assert mistakes(new) == ()
    return new


PLACES = [
    DESIGN, SITE, CONVEYING, COLLECTOR, CurvePointAt(0), LossAt(0), StockAt(0),
    SizeAt(0, 1), MachineAt(0), PortAt(0, 0), RunAt(0), PieceAt(1, 0),
    PieceAt(1, 1), PieceAt(1, 2), PieceAt(0, 1), PieceAt(0, 2), PieceAt(2, 1),
    GateSetAt(0), LEAKAGE, ThrottleAt(1, 0),
    *(OutletPieceAt(at) for at in range(3)),
]  # fmt: skip
HEADINGS = [MACHINES, STOCK, GATE_SETS, LOSSES, OUTLET]


@pytest.mark.parametrize("place", PLACES, ids=str)
def test_every_field_of_every_kind_is_offered_and_reads_back(design, place):
    item = edits.at(design, place)
    names = {name for name, entry in entries(type(item)).items() if entry.kind not in ("list", "table")}
    offered = fields(design, place)
    hidden = {"angle", "toward", "port_taper"} if place == RunAt(0) else set()  # main goes straight on and ends at no port
    assert {field.name for field in offered} == names - hidden
    for field in offered:
        if field.text and field.entry.kind != "names":
            assert read(field, field.text, "metric") == getattr(item, field.name)


def test_joint_and_port_have_forms_of_their_own(design):
    assert [field.name for field in fields(design, JointOf(1))] == ["joins", "as_", "angle", "toward", "taper", "loss"]
    end = fields(design, EndOf(1))
    assert [field.name for field in end] == ["ends", "port_taper", "id", "bore", "needs", "loss", "suction", "east", "north", "up", "faces"]
    assert end[3].place == PortAt(0, 0)


@pytest.mark.parametrize("place", HEADINGS, ids=str)
def test_the_heading_of_a_list_has_no_fields(design, place):
    assert fields(design, place) == ()


def test_what_holds_while_a_field_is_empty_is_shown(design):
    assert field_of(design, SITE, "temperature").default == "20 degC"
    assert field_of(design, PieceAt(0, 1), "radius").default == "1.5"
    assert field_of(design, OutletPieceAt(1), "radius").default == "1.5"
    assert field_of(design, LEAKAGE, "tightness").text == "A" and field_of(design, LEAKAGE, "shut_gate").default == "none"
    assert field_of(design, RunAt(0), "bore").default == "160 mm"
    assert field_of(design, CONVEYING, "slow_branch").default == "20.0 m/s"
    assert field_of(design, SizeAt(0, 0), "in_store").default == "yes"


def test_references_offer_what_could_be_named(design):
    assert field_of(design, RunAt(2), "joins").choices == ("main", "planer drop")
    assert field_of(design, EndOf(1), "ends").choices == ("planer/hood",)
    assert field_of(design, PieceAt(1, 2), "size").choices == ("hose/125",)
    assert field_of(design, ThrottleAt(1, 0), "gate").choices == ("planer gate", "lathe gate")
    assert "dry chips and dust" in field_of(design, CONVEYING, "material").choices


@pytest.mark.parametrize(
    ("typed", "metres", "text"),
    [("1.5", 1.5, "1.5 m"), ("6in", 0.1524, "6in"), ("1'6", 0.4572, "1'6"), ("1,5 m", 1.5, "1,5 m"), ("150mm", 0.15, "150mm")],
)
def test_lengths_are_read_as_the_trade_writes_them(design, typed, metres, text):
    field = field_of(design, PieceAt(0, 0), "length")
    found = read(field, typed, "metric")
    assert found.si == pytest.approx(metres) and found.text == text


@pytest.mark.parametrize(
    ("place", "name", "typed", "says"),
    [
        (PieceAt(0, 0), "length", "", "length along the pipe"),
        (PieceAt(0, 0), "length", "0", "more than 0 m"),
        (PieceAt(0, 0), "length", "5 kg", "wanted a length"),
        (PieceAt(0, 1), "gores", "3.5", "whole number"),
        (PieceAt(0, 1), "gores", "9", "3 to 7"),
        (PieceAt(0, 1), "radius", "wide", "a number"),
        (PieceAt(0, 1), "toward", "left", "north, south"),
        (RunAt(0), "size", "spiral/1", "which?"),
        (RunAt(0), "id", "x" * 81, "at most 80"),
    ],
)  # fmt: skip
def test_what_will_not_do_is_refused_with_what_is_wanted(design, place, name, typed, says):
    with pytest.raises(BadValue, match=says.replace("?", r"\?")):
        read(field_of(design, place, name), typed, "metric")


def test_choices_and_names_may_be_shortened(design):
    assert read(field_of(design, PieceAt(0, 1), "toward"), "so", "metric") == "south"
    assert read(field_of(design, RunAt(0), "size"), "100", "metric") == "spiral/100"
    assert read(field_of(design, RunAt(0), "taper"), "blunt", "metric").text == "blunt"


def test_a_value_is_echoed_in_the_other_units(design):
    field = field_of(design, PieceAt(0, 0), "length")
    assert echo(field, read(field, "2", "metric"), "2", "metric") == "2 m"
    assert echo(field, read(field, "2 m", "metric"), "2 m", "metric") == "6ft 6 3/4in"
    assert echo(field, read(field, "6ft", "metric"), "6ft", "metric") == "1.829 m"
    toward = field_of(design, PieceAt(0, 1), "toward")
    assert echo(toward, "south", "so", "metric") == "south"


def test_cycling_goes_round_and_passes_empty_where_that_is_allowed(design):
    toward = field_of(design, PieceAt(0, 1), "toward")
    assert cycled(toward, 1) == "up" and cycled(toward, -1) == "east"
    law = field_of(design, LossAt(0), "law")
    assert [cycled(law, 1), cycled(law, -1)] == ["square", ""]
    kind = field_of(design, StockAt(0), "kind")
    assert cycled(kind, 1) == cycled(kind, -1) == "hose"


def test_stepping_stays_in_the_stock(design):
    size = field_of(design, RunAt(2), "size")
    assert (stepped(design, size.text, 1), stepped(design, size.text, -1)) == ("spiral/160", "spiral/100")
    assert stepped(design, field_of(design, RunAt(0), "size").text, 1) is None


def test_size_and_bore_take_each_others_place(design):
    own = after(design, RunAt(0), "bore", "150")
    run = own.runs[0]
    assert (run.size, run.bore.text, run.material) == (None, "150 mm", "galvanised spiral")
    back = after(own, RunAt(0), "size", "spiral/125").runs[0]
    assert (back.size, back.bore, back.material) == ("spiral/125", None, None)


def test_loss_and_suction_of_a_port_take_each_others_place(design):
    port = PortAt(0, 0)
    measured = after(after(design, port, "loss", "2"), port, "suction", "600")
    assert (edits.at(measured, port).loss, edits.at(measured, port).suction.text) == (None, "600 Pa")


def test_free_air_takes_the_curves_place(design):
    collector = after(design, COLLECTOR, "free_air", "2500").collector
    assert collector.curve == () and collector.free_air.text == "2500 m3/h" and collector.max_suction.text == "2400 Pa"


def test_a_joint_stays_sound_whichever_way_a_run_joins(design):
    legs = after(design, RunAt(1), "as_", "leg")
    assert [joins_as(legs.runs[at]) for at in (1, 2)] == ["leg", "leg"]
    straight = after(legs, RunAt(1), "as_", "straight")
    assert [joins_as(straight.runs[at]) for at in (1, 2)] == ["straight", "branch"]
    assert (straight.runs[1].angle, straight.runs[1].toward) == (None, None)


def test_a_run_moves_to_another_joint_with_all_beyond_it(design):
    field = field_of(design, RunAt(3), "joins")
    moved, place = changed(design, field, "main")
    assert mistakes(moved) == () and edits.at(moved, place).joins == "main"


def test_a_new_name_is_followed(design):
    renamed = after(design, RunAt(0), "id", "trunk")
    assert [run.joins for run in renamed.runs] == ["collector", "trunk", "trunk", "main 2"]


def test_machines_go_in_and_out_of_a_gate_set(design):
    lathe = next(field for field in fields(design, GateSetAt(0)) if field.member == "lathe")
    new, _ = changed(design, lathe, True)
    assert new.gate_sets[0].open == ("planer", "lathe")
    field = next(field for field in fields(new, GateSetAt(0)) if field.member == "lathe")
    assert field.text == "x" and changed(new, field, False)[0] == design


def test_a_gate_throttled_in_another_row_is_not_offered_again(design):
    twice = edits.insert(design, ThrottleAt(1, 1), Throttle(gate="planer gate", open=0.7))
    assert field_of(twice, ThrottleAt(1, 0), "gate").choices == ("lathe gate",)


@pytest.mark.parametrize("place", [*PLACES, *HEADINGS, CURVE, JointOf(1), EndOf(1), RunAt(3)], ids=str)
@pytest.mark.parametrize("index", [0, 1])
def test_every_place_has_facts_in_every_gate_set(full, place, index):
    assert all(isinstance(text, str) and "\n" not in text for text in facts(full, index, place))


def test_what_leaks_and_what_the_duct_outside_and_a_throttled_gate_take(full):
    leaks = full.sets[1].balance.flow - sum(port.flow for port in full.sets[1].balance.ports.values())
    assert facts(full, 1, LEAKAGE) == [f"{leaks * 3600:.0f} of {full.sets[1].balance.flow * 3600:.0f} m3/h leak in"]
    (cowl,) = facts(full, 1, OutletPieceAt(2))
    pressure = full.air.density / 2 * (full.sets[1].balance.flow / (pi / 4 * 0.2**2)) ** 2
    assert cowl == f"loss {pressure:.0f} Pa, 1.00 velocity pressures (VP)"
    (gate,) = facts(full, 0, ThrottleAt(1, 0))
    open_gate = part_losses(
        full.tree, assess(replace(full.design, gate_sets=(replace(full.design.gate_sets[1], throttle=()),))).sets[0].balance, "lathe drop"
    )
    least = next(loss.coefficient for loss in open_gate if loss.part == 0)
    assert gate.startswith("with both: loss ") and float(gate.split()[3]) > 2 * least


def test_without_leaks_none_are_told():
    assessment = two_drops.assessed()
    assert facts(assessment, 1, LEAKAGE)[0].startswith("0 of ")


def test_the_loss_of_a_piece_is_what_was_solved():
    assessment = two_drops.assessed()
    trap = PieceAt(2, 1)
    (text,) = facts(assessment, 1, trap)
    assert ", 0.35 velocity pressures (VP), as " in text and text.endswith("of this pipe")
    assert facts(assessment, 0, trap) == ["shut in this gate set: no air, no loss"]


def test_where_nothing_was_solved_no_loss_is_claimed():
    assessment = two_drops.assessed()
    failed = replace(assessment, sets=(replace(assessment.sets[0], balance=None, trouble="no answer: it wanders"), *assessment.sets[1:]))
    for place in (PieceAt(2, 1), JointOf(1), EndOf(1), LEAKAGE):
        assert facts(failed, 0, place) == ["no answer: it wanders"]


@pytest.mark.parametrize("place", PLACES, ids=str)
@pytest.mark.parametrize("width", [30, 39, 70])
def test_every_field_fits_its_line(design, place, width):
    offered = fields(design, place)
    for field in offered:
        for editing in (None, Editing(TextEdit.of("a rather long text that was typed here"), trouble="no")):
            row = field_line(field, label_cells(offered), width, LINE, focused=True, editing=editing, echo="3ft 11 1/4in")
            assert width_of(row) == width


def test_empty_chosen_and_typed_fields_differ_without_colour(design):
    elbow = fields(design, PieceAt(0, 1))
    rows = [text_of(field_line(field, 7, 39, LINE)).rstrip() for field in elbow[:3]]
    assert rows == ["elbow   [90 deg      ]", "toward  < west >", "radius  [(1.5)       ]"]
    planer = next(field for field in fields(design, GateSetAt(0)) if field.member == "planer")
    assert text_of(field_line(planer, 7, 39, LINE)).rstrip() == "[x] planer"


def test_the_reason_stands_below_whole_and_the_meaning_in_two_lines(design):
    field = field_of(design, PieceAt(0, 0), "length")
    reason = "wanted a length " * 9
    lines = trouble_lines(reason, 39)
    assert " ".join(map(text_of, lines)) == f"! {reason}".strip() and all(width_of(row) <= 39 for row in lines)
    assert trouble_lines("", 39) == []
    sum_typed = Editing(TextEdit.of("(4ft 6in + 18in)/2"), "3ft")
    assert [text_of(row) for row in echo_lines(sum_typed, 8, 29)] == ["= 3ft"] and echo_lines(sum_typed, 8, 39) == []
    assert [text_of(row) for row in meaning_lines(field, 39, 2, LINE)] == ["length along the pipe", ""]
