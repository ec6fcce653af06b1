"""What the sheets of the interview take."""

from __future__ import annotations

import pytest

from engine.files import design_file
from engine.survey import answers as interview
from engine.survey.answers import blank
from engine.survey.kept import dumps, loads
from tests.tui.pages.test_interview import KINDS, picked, shown, typed
from tui.pages.interview.questions import questions
from tui.pages.interview.sheets.all_sheets import sheet
from tui.pages.interview.sheets.collector import pasted_points
from tui.work.fields.points import read_point
from tui.work.fields.values import BadValue


@pytest.mark.parametrize(
    ("text", "units", "flow", "pressure"),
    [
        ("1000 2150", "metric", "1000 m3/h", "2150 Pa"), ("600 8", "imperial", "600 cfm", "8 inH2O"),
        ("600 cfm 8 1/2 inH2O", "metric", "600 cfm", "8 1/2 inH2O"), ("1,5 m3/min, 1,2 kPa", "metric", "1,5 m3/min", "1,2 kPa"),
        ("1000\t2150", "metric", "1000 m3/h", "2150 Pa"), ("1000 m3/h | 2 kPa", "metric", "1000 m3/h", "2 kPa"),
    ],
)  # fmt: skip
def test_a_point_is_a_flow_and_a_pressure(text, units, flow, pressure):
    made = read_point(text, units)
    assert (made.flow.text, made.pressure.text) == (flow, pressure)


@pytest.mark.parametrize(
    ("text", "reason"),
    [("1000", "wanted a flow and a pressure"), ("1000 m3/h 99999 Pa", "30000 Pa"), ("1000 kg 5 Pa", "wanted a flow"), ("x " * 900, "wanted")],
)
def test_what_is_no_point_is_refused_with_a_reason(text, reason):
    with pytest.raises(BadValue, match=reason):
        read_point(text, "metric")


def test_answers_compute_and_a_row_takes_several_points():
    answers = typed(blank(), "inlet", "inlet", "2 x 75")
    assert answers.shop.collector.inlet.text == "150 mm"
    with pytest.raises(BadValue, match=r"1200 or 1\.200"):
        typed(answers, "curve", "free air", "1,200")
    curve = typed(answers, "curve", "point 1", "0 2400; 2 x 500 2150; 2600 0").shop.collector.curve
    assert [point.flow.text for point in curve] == ["0 m3/h", "1000 m3/h", "2600 m3/h"]


def test_pasted_points_are_put_in_order_and_bad_lines_are_named():
    answers, left_out = pasted_points(blank(), "flow pressure\n2600 0\n\n0 2400\n0 2300\n")
    assert [point.flow.text for point in answers.shop.collector.curve] == ["0 m3/h", "2600 m3/h"]
    assert left_out.startswith("line 1 left out: ") and left_out.endswith("(and 1 more)")
    assert pasted_points(blank(), "\n" * 100 + "1 2\n") == (blank(), "all after line 100 left out")


def test_every_figure_tells_its_unit_and_an_example():
    for key, label, told in (("inlet", "inlet", "In mm, as 125"), ("ceiling", "height", "In m, as 2.4"), ("curve", "free air", "In m3/h, as 820")):
        (row,) = (row for row in sheet(blank(), key).rows if row.label == label)
        assert told in row.about
    imperial = picked(blank(), "units", "imperial")
    assert "In in, as 5" in sheet(imperial, "inlet").rows[0].about
    for key in ("room", "doors", "posts", "free", "place", "machines", "together", "curve", "hanging"):
        rows = [row for answers in (blank(), imperial) for row in sheet(answers, key).rows if row.line and not row.line.field.entry.dimension]
        assert all("as " in row.about.lower() or row.label in ("name", "faces") for row in rows), key


def test_a_room_is_walked_corner_by_corner_and_only_a_wall_that_is_there_can_cross():
    answers = blank()
    for i, spot in enumerate(("0,0", "7,0", "7,4", "3,4", "3,6", "0,6")):
        answers = typed(answers, "room", f"corner {i + 1}", spot)
        assert ("room" in interview.wanted(answers)) == (i < 2)
    with pytest.raises(BadValue, match="crosses the one from corner"):
        typed(answers, "room", "corner 7", "3,-1")
    fewer = typed(answers, "room", "corner 5", "")
    assert [(corner.east.si, corner.north.si) for corner in fewer.shop.site.room][3:] == [(3, 4), (0, 6)]
    crossed = blank()
    for i, spot in enumerate(("0,0", "7,0", "0,4", "7,4")):
        crossed = typed(crossed, "room", f"corner {i + 1}", spot)
    assert "meets the one" in shown(crossed, "room")[0]


def test_a_line_is_changed_and_taken_away_where_it_stands():
    answers = typed(typed(blank(), "posts", "post 1", "1,1"), "posts", "post 2", "2,2")
    answers = typed(answers, "posts", "post 1", "1.5,1")
    assert answers.lines("posts") == ("1.5,1", "2,2") and typed(answers, "posts", "post 1", " ").lines("posts") == ("2,2",)


def test_the_page_of_a_machine_changes_what_its_kind_brought():
    answers = interview.with_machine(interview.with_machine(blank(), "saw 1,1")[0], "planer 3,1")[0]
    answers = typed(typed(typed(answers, "machine 0", "size", "1.2 x 0.9"), "machine 0", "moves", "y"), "machine 0", "shared", "yes")
    answers = typed(typed(answers, "machine 0", "below", "110 700-750"), "machine 0", "guard", "")
    saw = answers.shop.machines[0]
    assert (saw.size.east.text, saw.size.up, saw.moves, saw.shared_drop, len(saw.ports)) == ("1.2 m", None, True, True, 1)
    assert saw.ports[0].needs.text == "700 m3/h to 750 m3/h"
    with pytest.raises(BadValue, match="planer stands there already"):
        typed(answers, "machine 0", "place", "3,1")
    other = interview.as_kind(answers, 0, KINDS[0])
    assert (other.shop.machines[0].east.si, other.shop.machines[0].id, interview.kind_of(other, 0)) == (1, saw.id, KINDS[0])


def test_a_size_in_store_has_its_prices_in_a_line_and_a_true_bore_by_its_unit():
    answers = picked(blank(), "store", "sewer pipe, EN 1401 PVC-U")
    answers = typed(answers, "stock 0", "125", "118.2 mm 7,40 9.5 14 gate 21")
    prices = ("price", "elbow_price", "wye_price", "taper_price", "gate_price")

    def held(answers):
        size = next(size for size in answers.shop.stock[0].sizes if size.nominal == "125")
        return size.bore.text, *(getattr(size, name) for name in prices)

    assert held(answers) == ("118.2 mm", 7.4, 9.5, 14, None, 21) and shown(answers, "stock 0") == ("1 price", "given")
    assert held(typed(answers, "stock 0", "125", "8.50")) == ("118.2 mm", 8.5, None, None, None, None), "the bore stays"
    again = next(row for row in sheet(answers, "stock 0").rows if row.label == "125").line
    assert again.field.text == "118.2 mm 7.4 9.5 14 ? 21" and again.read(again.field.text)[0] == answers
    for text, reason in (
        ("1 2 3 4 5 6", "at most five"),
        ("118 mm cheap", "'cheap'"),
        ("125 3.2", "125 is the size itself"),
        ("8 gate", "price of the gate"),
    ):
        with pytest.raises(BadValue, match=reason):
            typed(answers, "stock 0", "125", text)
    assert picked(picked(blank(), "units", "imperial"), "store", "US sheet-metal duct").shop.stock[0].price_per == "ft"


def test_the_sizes_that_the_store_has_are_said_in_a_line():
    answers = typed(picked(blank(), "store", "spiral duct, EN 1506"), "stock 0", "sizes", "100 125 160")
    assert [size.nominal for size in answers.shop.stock[0].sizes if size.in_store is not False] == ["100", "125", "160"]
    assert [row.label for row in sheet(answers, "stock 0").rows][-3:] == ["100", "125", "160"]
    assert typed(answers, "stock 0", "sizes", "100, 200").shop.stock[0].sizes[-3].in_store is None
    sewer = picked(blank(), "store", "sewer pipe, EN 1401 PVC-U")
    assert sum(size.in_store is not False for size in typed(sewer, "stock 0", "sizes", "110, 160 SN4").shop.stock[0].sizes) == 2
    for text, reason in (("160", "which 160. 160 SN2, 160 SN4"), ("111", "there is no 111"), ("", "wanted sizes")):
        with pytest.raises(BadValue, match=reason):
            typed(sewer, "stock 0", "sizes", text)


def test_collectors_to_choose_from_are_in_the_design_and_each_has_a_name_of_its_own():
    answers = typed(blank(), "choices", "1", "big drum: 0 2800; 2600 0; price 890")
    answers = typed(answers, "choices", "2", "small drum: free air 1500; max suction 2000")
    assert [one.id for one in interview.finished(answers).collector_choices] == ["big drum", "small drum"]
    assert shown(answers, "choices") == ("big drum, small drum", "given") and loads(dumps(answers)) == answers
    assert [one.id for one in typed(answers, "choices", "1", "").shop.collector_choices] == ["small drum"]
    with pytest.raises(BadValue, match="a big drum already"):
        typed(answers, "choices", "2", "big drum: 0 2000; 1500 0")


def test_what_the_filter_takes_is_said_in_a_line():
    answers = typed(blank(), "inlet", "filter", "250 1500 clean 80 dirty 600")
    (loss,) = answers.shop.collector.losses
    assert [value.text for value in (loss.drop, loss.at, loss.clean, loss.dirty)] == ["250 Pa", "1500 m3/h", "80 Pa", "600 Pa"]
    (row,) = (row for row in sheet(answers, "inlet").rows if row.label == "filter")
    assert row.line.read(row.line.field.text)[0] == answers and typed(answers, "inlet", "filter", "").shop.collector.losses == ()
    for text in ("250", "250 1500 clean", "250 1500 old 80", "250 1500 clean 80 clean 90", "1500 Pa 2 kg"):
        with pytest.raises(BadValue, match="wanted"):
            typed(answers, "inlet", "filter", text)


def test_what_hangs_is_read_in_the_shop_as_it_is_then():
    answers = typed(typed(interview.with_machine(blank(), "saw 4,1")[0], "hanging", "1", "main 160, 2"), "hanging", "2", "wye 125 to saw")
    assert len(interview.hung(answers).design.runs) == 2 and shown(answers, "hanging") == ("2 lines", "given")
    with pytest.raises(BadValue, match="wanted a machine"):
        typed(answers, "hanging", "3", "wye 125 to lathe")
    gone = interview.without_machine(answers, 0)
    assert gone.lines("hanging") == answers.lines("hanging") and "wanted a machine" in interview.wanted(gone)["hanging"]
    assert loads(dumps(gone)) == gone


# What is typed into rows in which a thing is said in a breath, by question and label; other rows are typed into by their kind.
SAID = {
    ("room", "floor"): "9.5 x 7", ("doors", "door 2"): "west 1 1", ("posts", "post 1"): "4, 4", ("free", "place 1"): "north 3 1",
    ("place", "place"): "0.6, 3", ("place", "size"): "0.9 x 0.8 x 2", ("place", "or at 1"): "5, 0.6 1 x 1", ("machines", "one more"): "lathe 7, 5",
    ("machine 0", "place"): "2.5, 2", ("machine 0", "size"): "1.5 x 0.9", ("machine 0", "below"): "110 700 up 0.5 faces east",
    ("machine 0", "guard"): "63 180-220 up 1.3",
    ("machine 0", "one more port"): "50 200", ("together", "set 1"): "1+2", ("stock 0", "sizes"): "100 125", ("stock 0", "63"): "8.5",
    ("inlet", "filter"): "250 1500 clean 80", ("choices", "1"): "big: 0 2800; 2600 0", ("hanging", "1"): "main 160, 0.5",
}  # fmt: skip
FIGURES = {"length": "2.1 m", "bore": "140 mm", "flow": "900 m3/h", "pressure": "1900 Pa"}


def test_what_is_typed_into_any_row_is_in_the_file_of_the_design():
    answers = typed(typed(blank(), "room", "floor", "9 x 6"), "doors", "door 1", "south 1 0.9")
    answers = interview.with_machine(interview.with_machine(answers, "table saw 2,3")[0], "planer 5,3")[0]
    answers = picked(answers, "store", "spiral duct, EN 1506")
    told, tried = design_file.dumps(interview.hung(answers).design), set()
    for key in (question.key for question in questions(answers)):
        for row in sheet(answers, key).rows:
            if row.line and (key, row.label) not in (("store", "store file"),):
                field = row.line.field
                other = next((choice for choice in field.choices if choice not in (field.text, field.default)), "")
                text = SAID.get((key, row.label)) or other or FIGURES.get(field.entry.dimension or "", "another")
                if field.entry.kind == "text" and field.name == field.label and (key, row.label) not in SAID:
                    continue  # more lines of a kind that is tried already
                assert design_file.dumps(interview.hung(row.line.read(text)[0]).design) != told, (key, row.label, text)
                tried.add((key, row.label))
    assert tried >= SAID.keys() and {("ceiling", "headroom"), ("place", "up"), ("curve", "free air"), ("stock 0", "stick")} <= tried
