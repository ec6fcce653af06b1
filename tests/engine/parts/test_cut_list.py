"""The cut list of a design: lengths with what slips in, names, and straights longer than a stick. The shop is invented."""

from __future__ import annotations

import pytest

from engine.catalog.joining import joining, practice
from engine.parts.cut_list import CutList, cut_list
from engine.parts.cutting import Stick
from engine.parts.tape import STEP
from tests.shops.parts_shop import TEXT, canoe_loft

INCH = 0.0254


def lengths(found: CutList) -> dict[str, float]:
    """Every cut by its name."""
    return {cut.name: cut.length for cutting in found.cuttings.values() for one in cutting.sticks for cut in one.cuts}


def test_pipe_that_ends_at_the_beads_of_fittings_is_cut_as_it_is_seen_and_into_hose_it_goes_further():
    found = lengths(cut_list(canoe_loft(), kerf=0.003))
    assert found["saw drop / 1"] == pytest.approx(0.8) and found["main / 2"] == pytest.approx(2.0)
    assert found["saw drop / 2"] == pytest.approx(1.0 + practice().hose_lap)


def test_pipe_in_sockets_is_longer_at_both_ends_and_crimped_pipe_at_one():
    for material, ends in (("PVC", 2), ("galvanised, longitudinal seam", 1)):
        found = lengths(cut_list(canoe_loft(TEXT.replace("galvanised spiral", material)), kerf=0.003))
        assert found["saw drop / 1"] == pytest.approx(0.8 + ends * joining(material).insertion, abs=STEP["metric"] / 2)


def test_a_straight_longer_than_a_stick_is_cut_in_pieces_that_add_up_to_it():
    found = cut_list(canoe_loft(), kerf=0.003)
    own = lengths(found)
    assert own["main / 1 a"] == pytest.approx(3.0) and own["main / 1 b"] == pytest.approx(1.0) and "main / 1" not in own
    assert found.splits == {"spiral/160": 1}
    assert any("longer than a stick" in doubt and "main / 1" in doubt for doubt in found.doubts)


def test_each_joint_of_crimped_pipe_takes_its_lap():
    design = canoe_loft(TEXT.replace("galvanised spiral", "galvanised, longitudinal seam").replace('"4 m"', '"7 m"'))
    own = [length for name, length in lengths(cut_list(design, kerf=0.003)).items() if name.startswith("main / 1 ")]
    assert len(own) == 3 and sum(own) == pytest.approx(7.0 + 3 * 1.5 * INCH, abs=0.002)


def test_the_last_piece_is_no_stub():
    own = lengths(cut_list(canoe_loft(TEXT.replace('"4 m"', '"3.01 m"')), kerf=0.003))
    assert own["main / 1 b"] >= practice().piece - 1e-9 and own["main / 1 a"] + own["main / 1 b"] == pytest.approx(3.01)


def test_what_is_too_short_to_be_joined_is_told_and_not_lengthened():
    found = cut_list(canoe_loft(), kerf=0.003)
    assert lengths(found)["lathe drop / 1"] == pytest.approx(0.05)
    assert any("too short" in doubt and "lathe drop / 1 (50 mm, not 60 mm)" in doubt for doubt in found.doubts)


def test_pipe_without_a_stick_is_cut_where_it_is_bought():
    found = cut_list(canoe_loft(TEXT.replace('stick = "3 m"\n', "")), kerf=0.003)
    assert lengths(found)["main / 1"] == pytest.approx(4.0) and not found.splits
    assert all(one.stick.length == pytest.approx(one.cuts[0].length) for one in found.cuttings["spiral/160"].sticks)


def test_sticks_too_short_to_join_are_told_and_pipe_is_reckoned_by_its_length():
    found = cut_list(
        canoe_loft(TEXT.replace('stick = "3 m"', 'stick = "60 mm"').replace("galvanised spiral", "galvanised, longitudinal seam")), kerf=0.003
    )
    assert any(doubt.startswith("the sticks are too short to join pipe from") and "spiral/160" in doubt for doubt in found.doubts)
    assert all(one.stick.length == one.cuts[0].length for one in found.cuttings["spiral/160"].sticks)


def test_sticks_said_stand_for_those_of_the_stock():
    found = cut_list(canoe_loft(), sticks=[Stick(5.0)], kerf=0.003)
    assert "main / 1" in lengths(found) and {one.stick.length for one in found.cuttings["spiral/160"].sticks} == {5.0}


def test_a_stock_that_says_its_insertion_and_its_shortest_straight_has_its_way():
    own = TEXT.replace('stick = "3 m"', 'stick = "3 m"\ninsertion = "40 mm"\nshortest = "120 mm"')
    found = cut_list(canoe_loft(own), kerf=0.003)
    assert lengths(found)["saw drop / 1"] == pytest.approx(0.88)
    assert not any("too short" in doubt for doubt in found.doubts)
    assert any("lathe drop / 1 (50 mm, not 120 mm)" in doubt for doubt in cut_list(canoe_loft(own.replace("40 mm", "0 mm")), kerf=0.003).doubts)


def test_what_is_cut_already_is_left_out():
    hung = TEXT.replace('id = "main"\n', 'id = "main"\nstate = "hung"\n').replace('{ straight = "800 mm" }', '{ straight = "800 mm", state = "cut" }')
    found = lengths(cut_list(canoe_loft(hung), kerf=0.003, before="cut"))
    assert "saw drop / 1" not in found and "saw drop / 2" in found and not any(name.startswith("main") for name in found)
    assert "saw drop / 1" in lengths(cut_list(canoe_loft(hung), kerf=0.003))


def test_lengths_are_rounded_to_the_tape_of_the_units_shown():
    design = canoe_loft(TEXT.replace('name = "canoe loft"', 'name = "canoe loft"\ndisplay = "imperial"'))
    for length in lengths(cut_list(design, kerf=0.003)).values():
        assert length / (INCH / 16) == pytest.approx(round(length / (INCH / 16)), abs=1e-6)


def test_a_size_that_says_its_insertion_has_its_way_before_its_stock():
    text = TEXT.replace("galvanised spiral", "PVC").replace('stick = "3 m"', 'stick = "3 m"\ninsertion = "40 mm"')
    deep = text.replace('nominal = "160", bore = "160 mm"', 'nominal = "160", bore = "160 mm", insertion = "70 mm"')
    own = lengths(cut_list(canoe_loft(deep), kerf=0.003))
    assert own["main / 2"] == pytest.approx(2.0 + 2 * 0.07) and own["saw drop / 1"] == pytest.approx(0.8 + 2 * 0.04)


def test_an_adapter_between_two_families_takes_its_room():
    plastic = '[[stock]]\nid = "sewer"\nkind = "pipe"\nmaterial = "PVC"\nsize = [{ nominal = "110", bore = "103.6 mm", outside = "110 mm" }]\n'
    mixed = TEXT.replace('[[machine]]\nid = "saw"', plastic + '[[machine]]\nid = "saw"', 1)
    mixed = mixed.replace('toward = "south"\nsize = "spiral/100"', 'toward = "south"\nsize = "sewer/110"').replace('{ gate = "saw gate" }, ', "")
    fitting = plastic.replace('material = "PVC"', 'material = "PVC"\nfitting_lengths = [{ of = "adapter", length = "0 mm" }]')
    own, none = (lengths(cut_list(canoe_loft(text), kerf=0.003)) for text in (mixed, mixed.replace(plastic, fitting)))
    assert none["saw drop / 1"] - own["saw drop / 1"] == pytest.approx(0.1)
