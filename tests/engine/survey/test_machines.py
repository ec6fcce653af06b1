"""A machine in a breath: its kind by a word or two, what the line says of it, a copy of the one before, and what cannot be."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.catalog import machine_kinds
from engine.catalog.kinds import usual_body
from engine.catalog.tables import PROVENANCES, read
from engine.design import Design, Site
from engine.design.rules.consistency import mistakes
from engine.design.typed import BadValue
from engine.survey.answers import blank
from engine.survey.floor import read_floor
from engine.survey.machines import kinds_like, ports_in, read_machine
from engine.survey.ports import port_text, read_port
from engine.units.ranges import Range


def shop(*lines: str, units: str = "metric") -> tuple[Design, list[str]]:
    """A room of 9 x 6 m with the machines of these lines, and the names of their kinds."""
    design, kinds = replace(blank().shop, display=units, site=Site(room=read_floor("9 m x 6 m", "metric"))), list[str]()
    for line in lines:
        said = read_machine(design, kinds, line)
        design, kinds = replace(design, machines=(*design.machines, said.machine)), [*kinds, said.kind]
    return design, kinds


def refused(line: str, *before: str) -> str:
    with pytest.raises(BadValue) as refusal:
        read_machine(*shop(*before), line)
    assert "\n" not in str(refusal.value)
    return str(refusal.value)


def test_a_word_and_a_place_bring_ports_bores_heights_needs_and_a_body():
    (planer,), (kind,) = shop("planer 2, 3")[0].machines, shop("planer 2, 3")[1]
    assert (planer.id, planer.east.text, planer.north.text) == ("planer", "2 m", "3 m")
    assert kind == kinds_like(["planer"], "metric")[0].name
    assert [(port.bore.text, port.needs.text) for port in planer.ports] == [("120 mm", "820 m3/h")]
    assert planer.up and planer.size.east and planer.size.north and planer.size.up


def test_a_line_says_what_it_knows_better_than_the_kind():
    (planer,) = shop("planer 2, 3 350-450 cfm 1.2 x 0.6 up 0.9 moves shared")[0].machines
    needs = planer.ports[0].needs
    assert isinstance(needs, Range) and needs.text == "350 cfm to 450 cfm" and needs.low < needs.si < needs.high
    assert (planer.size.east.text, planer.size.north.text, planer.up.text) == ("1.2 m", "0.6 m", "0.9 m")
    assert planer.moves and planer.shared_drop


def test_a_bore_picks_the_kind_that_has_it():
    assert shop("planer 2, 3 140 1110")[1] == ["planer or jointer, knife under 520 mm"]
    (own,) = shop("planer 2, 3 150 1200")[0].machines
    assert [(port.bore.text, port.needs.text) for port in own.ports] == [("150 mm", "1200 m3/h")]


def test_no_inch_stands_in_a_metric_shop_and_no_millimetre_in_an_imperial_one():
    for units, foreign in (("metric", (" in", "cfm")), ("imperial", ("mm", "m3/h"))):
        for kind in machine_kinds():
            for port in ports_in(kind, units):
                assert not port.bore.text.endswith(foreign) and not port.needs.text.endswith(foreign)
    (router,) = shop("table router 2, 3")[0].machines
    assert (router.ports[0].bore.text, router.ports[0].needs.text) == ("50.8 mm", "167 m3/h")


def test_the_one_before_once_more_takes_all_but_its_place():
    first, second = shop("Old Ned: saw 2, 3 moves", "= 5, 4")[0].machines
    assert (first.id, second.id) == ("Old Ned", "Old Ned 2") and second.east.text == "5 m"
    assert replace(second, id=first.id, east=first.east, north=first.north) == first
    assert "no machine before it" in refused("= 5, 4")


def test_what_no_kind_is_called_is_a_machine_of_ones_own_with_bore_and_flow():
    (fan,) = shop("kiln fan 2, 3 125 600")[0].machines
    assert (fan.id, fan.ports[0].bore.text, fan.ports[0].needs.text) == ("kiln fan", "125 mm", "600 m3/h")
    assert 'no kind of machine "kiln fan"' in refused("kiln fan 2, 3")


def test_a_place_may_wait():
    (lathe,) = shop("lathe")[0].machines
    assert lathe.east is None and lathe.ports


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("saw 20, 1", "20 m, 1 m is outside the walls"), ("saw 2, 3", "planer stands there already"), ("saw 2.02 3", "planer stands there already"),
        ("saw 2", "wanted how far east and north"), ("saw 2, 3 100 200 300", "wanted how far east"), ("saw 2, 3 sideways", "'sideways'"),
        ("", "wanted a machine"), ("2, 3", "wanted a machine"), ("drum 2, 4 100", "mostly has 2 ports"), ("saw 2, 4 up", "is empty"),
        ("saw 5000, 3", "wanted"), ("planer 2, 4 450-350 cfm", "wanted"), ("x" * 2000, "at most"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_told_in_a_line(line, reason):
    assert reason in refused(line, "planer 2, 3")


def test_ports_are_added_changed_and_taken_away_by_their_lines():
    (saw,) = shop("saw 2, 3")[0].machines
    more = read_port(saw, len(saw.ports), "hand 50 mm 200-250", "metric")
    assert (more.ports[-1].id, more.ports[-1].needs.text) == ("hand", "200 m3/h to 250 m3/h")
    changed = read_port(more, 0, "110 700", "metric")
    assert (changed.ports[0].id, changed.ports[0].bore.text) == (saw.ports[0].id, "110 mm")
    assert read_port(more, len(saw.ports), "", "metric") == saw
    raised = read_port(more, 2, "60 180-220 up 1.3", "metric")
    assert (raised.ports[2].up.si, port_text(raised.ports[2])) == (1.3, "60 mm 180-220 m3/h up 1.3 m")
    assert read_port(raised, 2, port_text(raised.ports[2]), "metric") == raised
    assert read_port(raised, 2, "63 200", "metric").ports[2].up.si == 1.3, "a height that is not said again stays"
    for text in ("120", "120 820 5", "hand", "120 820 up 1 2", "120 820 up", "120 820 up 1 up 2"):
        with pytest.raises(BadValue, match="its bore and its flow"):
            read_port(saw, 0, text, "metric")
    with pytest.raises(BadValue, match="one port at least"):
        read_port(replace(saw, ports=saw.ports[:1]), 0, "", "metric")


def test_a_line_says_every_port_it_has_and_the_height_of_each():
    (saw,) = shop("table saw 2, 3 110 700 up 0.4 + 63 180-220 up 1.3 shared 1.2x0.9")[0].machines
    assert (saw.size.east.text, saw.size.north.text) == ("1.2 m", "0.9 m")
    assert saw.shared_drop and not saw.moves
    assert [(port.id, port.bore.text, port.up and port.up.text) for port in saw.ports] == [("below", "110 mm", None), ("guard", "63 mm", "1.3 m")]
    one = read_machine(*shop("planer 2, 3"), "drum sander 6.6, 4.7 100 600-700 up 1.1, moves, shared")
    assert [port.bore.text for port in one.machine.ports] == ["100 mm"]
    assert "1 port, as you say, of the 2 it mostly has" in one.told and one.told.endswith("moves; one shared drop")


def test_the_way_a_port_faces_is_said_with_it():
    (saw,) = shop("table saw 2, 3 110 700 faces e + 63 200 up 1.3 faces up")[0].machines
    assert [port.faces for port in saw.ports] == ["east", "up"] and saw.ports[1].up.si == 1.3
    assert read_port(saw, 1, port_text(saw.ports[1]), "metric") == saw
    assert "wanted the way it faces" in refused("saw 2, 4 faces sideways")


def test_a_machine_typed_in_whole_words_is_called_as_it_was_typed():
    assert [machine.id for machine in shop("router table 2, 3", "saw 5, 3")[0].machines] == ["router table", "table saw"]


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_every_kind_is_found_by_its_words_and_makes_a_sound_machine(units):
    for kind in machine_kinds():
        words = kind.name.partition(",")[0].split()
        assert kind in kinds_like(words, units)
        design, _ = shop(" ".join(word for word in words if not word[0].isdigit()), units=units)
        assert [found for found in mistakes(design) if found.path[0] == "machine"] == []


def test_the_room_machines_take_is_marked_as_no_more_than_practice():
    assert read("bodies")["provenance"] in PROVENANCES and read("bodies")["source"]
    assert usual_body("small shaper, under 2.5 kW", "metric") and usual_body("wide belt sander to 18 in", "imperial").east.text.endswith(("ft", "in"))
    assert usual_body("something else", "metric") is None
    assert all(usual_body(kind.name, "metric") for kind in machine_kinds())


def test_other_words_for_a_machine_are_those_of_a_kind():
    for said, name in (("bandsaw", "band saw"), ("chop saw", "mitre saw"), ("pillar drill", "drill press"), ("thicknesser", "planer")):
        assert shop(said)[0].machines[0].id == name
    assert all(kinds_like([word], "metric") for word in read("bodies")["also"])
