"""What a session owes its user beside the work itself, where no screen is needed: rows that tell no lies, copying, first words."""

from __future__ import annotations

from base64 import b64decode
from dataclasses import replace
from pathlib import Path

import pytest

from engine import catalog
from engine.design import system
from engine.design.mistake import MOST_MISTAKES
from engine.design.places import COLLECTOR, GATE_SETS, MACHINES, STOCK, LossAt, PieceAt, RunAt
from engine.survey import answers as questions
from tests.shops import two_drops
from tui.draw.glyphs import ASCII, LINE, Glyphs
from tui.draw.lines import text_of, width_of
from tui.keep import first_days
from tui.pages.choosing.choose import matching
from tui.pages.frame.question_line import Prompt, Question, prompt_line, question_rows
from tui.pages.frame.title_line import document_title
from tui.panes.results import curve, now, sets, where
from tui.panes.results.view import View
from tui.panes.tree.nodes import tree
from tui.panes.tree.rows import cells, column_widths, count, row_line, rows, shows
from tui.terminal import clipboard
from tui.work.asking import Choice
from tui.work.document import Document, Refused
from tui.work.edits.additions import additions
from tui.work.edits.marks import MARKS, verdict_of
from tui.work.first_design import design_name


@pytest.fixture
def path(tmp_path: Path) -> Path:
    (tmp_path / "boat_house.toml").write_text(two_drops.TEXT)
    return tmp_path / "boat_house.toml"


def title(document: Document, width: int = 80, glyphs: Glyphs = LINE) -> str:
    return text_of(document_title(document, width, glyphs))


# The title row


def test_the_title_row_holds_the_design_its_file_and_what_the_file_has_of_it(path):
    document = Document.open(path)
    assert title(document).startswith(" Lantern joinery [b] · boat_house.toml · saved ")
    document.switch_units()
    assert "· boat_house.toml · not saved " in title(document)
    document.undo()
    assert "· saved " in title(document)
    document.switch_units()
    document.save()
    assert "· saved " in title(document)
    document.save_as(path.with_name("x" * 40 + ".toml"))
    assert "x" * 23 + "» · saved" in title(document)


def test_the_title_row_does_not_say_saved_of_a_file_that_something_else_wrote_or_took_away(path):
    document = Document.open(path)
    path.write_text(path.read_text() + "\n")
    assert "· file changed " in title(document)
    document.save()
    assert "· saved " in title(document)
    path.unlink()
    assert "· file changed " in title(document)


def test_without_a_file_the_title_row_names_none():
    document = Document.new()
    assert title(document).startswith(" new design · new ")
    document.switch_units()
    assert title(document).startswith(" new design · not saved ")


@pytest.mark.parametrize("glyphs", [LINE, ASCII], ids=["line", "ascii"])
@pytest.mark.parametrize("name", ["Lantern joinery [b]", "B", "A very long name of a workshop that fills a row by itself, all of it, and more"])
@pytest.mark.parametrize("gates", ["both", "planer and lathe and every other machine that there is in the shop"])
def test_the_state_is_never_cut_from_the_title_row(path, name, gates, glyphs):
    path.write_text(two_drops.TEXT.replace('name = "both"', f'name = "{gates}"'))
    document = Document.open(path)
    document.show_gate_set(1)
    document.apply("rename", replace(document.design, name=name))
    document.switch_units()
    for width in range(60, 130):
        shown = document_title(document, width, glyphs)
        assert width_of(shown) == width and " not saved " in text_of(shown) and " 2/2 " in text_of(shown)


# Files


def test_what_is_wrong_with_a_file_is_counted_and_where_all_of_it_stands_is_said(path):
    path.write_text(two_drops.TEXT.replace('"planer/hood"', '"planer/hod"'))
    with pytest.raises(Refused) as one:
        Document.open(path)
    assert "hod" in str(one.value) and "mistakes" not in str(one.value)
    path.write_text(two_drops.TEXT.replace('"planer/hood"', '"planer/hod"').replace("spiral/1", "spral/1"))
    with pytest.raises(Refused) as several:
        Document.open(path)
    assert f"{path}: 5 mistakes (kerfdraft check {path} lists them); the first: line" in str(several.value)
    path.write_text(two_drops.TEXT + "".join(f'[[run]]\nid = "r{i}"\njoins = "none"\nsize = "spiral/100"\n' for i in range(MOST_MISTAKES + 5)))
    with pytest.raises(Refused) as many:
        Document.open(path)
    assert f"more than {MOST_MISTAKES} mistakes" in str(many.value) and "\n" not in str(many.value)


@pytest.mark.parametrize(("file", "name"), [("boat_shed.toml", "boat shed"), ("a\x07b.toml", "a?b"), ("_.toml", "design"), ("x" * 99, "x" * 60)])
def test_a_design_begun_for_a_file_is_named_after_it(tmp_path, file, name):
    assert design_name(Path(file)) == name
    assert Document.new(tmp_path / file).design.name == name
    begun = questions.blank(name)
    assert questions.untouched(begun) and not questions.untouched(begun.with_given("name"))


# The first sessions


def test_the_first_sessions_are_told_what_to_begin_with_and_later_ones_are_not(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    assert [first_days.greeting() for _ in range(first_days.FEW + 2)] == [first_days.HINT] * first_days.FEW + ["", ""]
    assert len(first_days.HINT) <= 58


def test_the_cautions_are_due_once(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    assert [first_days.cautions_due() for _ in range(3)] == [True, False, False]


@pytest.mark.parametrize("content", ["", "x", "-4", "9" * 30, "99999999999999999999999999"])
def test_a_count_of_sessions_that_is_no_count_harms_nothing(tmp_path, monkeypatch, content):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    (tmp_path / "kerfdraft").mkdir()
    (tmp_path / "kerfdraft" / "sessions").write_text(content)
    assert first_days.greeting() == ""


def test_where_sessions_cannot_be_counted_nobody_is_greeted(tmp_path, monkeypatch):
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "file"))
    assert first_days.greeting() == "" and not first_days.cautions_due()


# Questions


def test_a_long_question_takes_more_rows_and_a_long_prompt_gives_way():
    for width in (40, 60):
        for words in (6, 80):
            rows = question_rows(Question("delete a run whose name fills the row by itself with " + "runs " * words, print), width, LINE)
            assert 1 < len(rows) <= 3 and max(map(width_of, rows)) <= width and text_of(rows[-1]).endswith("  y yes  n no")
            assert ("»" in text_of(rows[-1])) == (words == 80)
    (unsaved,) = question_rows(Question("unsaved changes:", print, (("s", "save"), ("d", "discard"))), 60, LINE)
    assert text_of(unsaved) == " unsaved changes:  s save  d discard"
    assert width_of(prompt_line(Prompt("how many? " + "machine " * 20, "1", print), 60, LINE)) <= 40


# Copying


def test_the_sequence_for_the_clipboard_holds_the_text_whatever_stands_between():
    text = "main\t12.1 m/s\nΔ½"
    plain = clipboard.sequence(text, {})
    assert plain.startswith("\x1b]52;c;") and plain.endswith("\x07")
    assert b64decode(plain[7:-1]).decode() == text
    tmux = clipboard.sequence(text, {"TMUX": "/tmp/x,1,0"})
    assert tmux == plain + "\x1bPtmux;\x1b" + plain + "\x1b\\"
    long = "1.5 m\n" * 500
    screen = clipboard.sequence(long, {"STY": "1.pts"})
    chunks = screen.removesuffix("\x1b\\").split("\x1b\\")
    assert all(chunk.startswith("\x1bP") and len(chunk) < 768 for chunk in chunks)
    assert "".join(chunk[2:] for chunk in chunks) == clipboard.sequence(long, {})


def test_no_more_is_copied_than_terminals_take():
    clipboard.sequence("x" * clipboard.MOST_BYTES, {})
    with pytest.raises(ValueError, match="more than"):
        clipboard.sequence("x" * (clipboard.MOST_BYTES + 1), {})


def test_a_table_is_rows_of_cells_whatever_is_in_them():
    assert clipboard.tabbed([("a", "b"), ("c\td", "e\nf")]) == "a\tb\nc d\te f"


PLANER_DROP = RunAt(1)


def view(place=PLANER_DROP, index=1, text=two_drops.TEXT, width=39) -> View:
    return View(two_drops.assessed(text), index, place, width, 20, LINE)


def test_the_tables_hold_what_was_computed():
    shown = view()
    head, alone, both = sets.table(shown)
    balance = shown.assessment.sets[1].balance
    assert head[:4] == ("gate set", "flow [m3/h]", "slowest run", "speed [m/s]") and alone[0] == "planer alone"
    assert both[:3] == ("both", f"{balance.flow * 3600:.0f}", shown.assessment.slowest(shown.assessment.sets[1])[0])
    assert both[-1] in ("fault", "caution", "ok")
    state = balance.runs["planer drop"]
    assert ("speed", f"{state.velocity:.1f} m/s") in now.table(shown)
    assert now.items(shown)[0].cells[:2] == (f"speed {state.velocity:.1f} m/s", f"flow {state.flow * 3600:.0f} m3/h")
    assert now.items(view(COLLECTOR))[0].cells[0] == f"flow {balance.flow * 3600:.0f} m3/h"
    head, *parts = where.table(shown)
    assert head[2] == "loss [Pa]" and sum(float(part[2]) for part in parts) == pytest.approx(balance.collector_pressure, abs=len(parts))
    points = curve.table(shown, curve.KnownCurves().of(shown.assessment, 1))
    named = {"collector", "ducts", "meet at", "asked by planer alone", "asked by both"}
    assert {point[0] for point in points[1:]} == named and points[-1][1] == f"{balance.flow * 3600:.0f}"
    assert all(len(row) == len(table[0]) for table in (sets.table(shown), points, [head, *parts]) for row in table)


def test_a_row_of_the_tree_is_copied_with_its_units():
    assessment = two_drops.assessed()
    nodes = {row.node.place: row.node for row in rows(tree(assessment.design, assessment, 0))}
    speed = assessment.sets[0].balance.runs["main"].velocity
    assert cells(nodes[RunAt(0)], "metric")[:3] == ("main", "160 mm", f"{speed:.1f} m/s")
    assert cells(nodes[RunAt(3)], "metric") == ("lathe drop", "100 mm", "shut", "-")
    assert cells(nodes[PieceAt(0, 0)], "metric") == ("straight 1.2 m",)


# The tree and the gate sets


@pytest.mark.parametrize(("state", "label"), [(None, "used 300 Pa"), ("clean", "clean 150 Pa"), ("dirty", "dirty 700 Pa")])
def test_a_loss_of_the_collector_shows_what_it_costs_now(state, label):
    design = two_drops.design(two_drops.FULL)
    design = replace(design, collector=replace(design.collector, filter=state))
    (loss,) = [node.label for top in tree(design, None, 0) for held in top.children for node in held.children if node.place == LossAt(0)]
    assert loss.endswith(f" {label}")
    plain = replace(
        design, collector=replace(design.collector, losses=tuple(replace(loss, clean=None, dirty=None) for loss in design.collector.losses))
    )
    (loss,) = [node.label for top in tree(plain, None, 0) for held in top.children for node in held.children if node.place == LossAt(0)]
    assert loss.endswith(" 300 Pa") and not any(word in loss for word in ("clean", "used", "dirty"))


def test_where_a_row_is_narrow_the_name_stays_whole_before_its_numbers():
    assessment = two_drops.assessed()
    nodes = tree(assessment.design, assessment, 0)
    (first, *_) = rows(nodes)
    for width in (27, 39, 60):
        row = text_of(row_line(first, width, column_widths(nodes), LINE))
        assert len(row) == width and " collector " in row and "m3/h" in row and ("Pa total" in row) == ("Pa" in row) == (width > 39)


def test_what_is_shown_and_how_much_there_is():
    nodes = tree(two_drops.design(), None, 0)
    shown = rows(nodes, (), "straight")
    assert shows(shown, PieceAt(0, 0)) and not shows(shown, PieceAt(0, 1))
    assert count(nodes) > len(rows(nodes))


def test_a_gate_set_with_cautions_is_not_called_ok():
    shown = view(text=two_drops.FULL)
    verdicts = {result.gate_set.name: MARKS[verdict_of(shown.assessment, result)] for result in shown.assessment.sets}
    worst = {result.gate_set.name: shown.assessment.worst(result) for result in shown.assessment.sets}
    assert set(worst.values()) == {"caution", "fault"}
    assert verdicts == {name: {"fault": "!", "caution": "*"}[severity] for name, severity in worst.items()}
    marks = {
        node.label.removesuffix(" (shown)"): node.mark
        for top in tree(shown.design, shown.assessment, 1)
        if top.place == GATE_SETS
        for node in top.children
    }
    assert marks == verdicts
    assert verdict_of(shown.assessment, replace(shown.assessment.sets[0], balance=None)) == "fault"


def test_in_a_narrow_pane_the_sets_keep_room_for_their_names():
    _, alone, both = sets.items(view(width=29))
    rows = [text_of(item.lines[0]) for item in (alone, both)]
    assert all(len(row) == 29 for row in rows) and "planer alone" in rows[0] and "> both" in rows[1] and "%" in rows[1]


# Lists of the catalog


@pytest.mark.parametrize("units", ["metric", "imperial"])
@pytest.mark.parametrize(("place", "key"), [(STOCK, "k"), (MACHINES, "k")])
def test_lists_of_the_catalog_begin_with_the_units_shown_and_name_their_sources(units, place, key):
    document = Document(replace(two_drops.design(), display=units))
    document.select(place)
    (offers,) = [addition.offers for addition in additions(document) if addition.key == key]
    groups = [offer.group for offer in offers]
    assert system(document.design) == units and groups[0] == units and groups == sorted(groups, reverse=units == "metric") and len(set(groups)) == 2
    rows = catalog.pipe_families() if place == STOCK else catalog.machine_kinds()
    assert {offer.name for offer in offers} == {row.name for row in rows}
    for row in rows:
        (offer,) = [offer for offer in offers if offer.name == row.name and row.source in offer.about]
        assert row.provenance in offer.about and row.note in offer.about


def test_filtering_keeps_groups_together():
    listed = (
        Choice("lathe saw", 1, group="metric"),
        Choice("saw", 2, group="metric"),
        Choice("saw", 3, group="imperial"),
        Choice("drill", 4, group="imperial"),
    )
    assert [choice.value for choice in matching(listed, "saw")] == [2, 1, 3]
