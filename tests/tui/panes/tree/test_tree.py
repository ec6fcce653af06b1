"""The rows of the ducts pane."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from engine import edits, load
from engine.checks.assess import assess
from engine.design import Straight
from engine.design.kept import forget
from engine.design.places import (
    COLLECTOR,
    CONVEYING,
    DESIGN,
    LEAKAGE,
    OUTLET,
    SITE,
    CornerAt,
    CurvePointAt,
    EndOf,
    GateSetAt,
    JointOf,
    LossAt,
    OfRun,
    PieceAt,
    PortAt,
    Rows,
    RunAt,
    SizeAt,
    ThrottleAt,
    ZoneAt,
)
from engine.units import make
from tests import SAVED_DESIGNS
from tests.shops import two_drops
from tui.draw.glyphs import LINE
from tui.draw.lines import text_of, width_of
from tui.panes.tree.node import Node
from tui.panes.tree.nodes import tree, worst_findings
from tui.panes.tree.rows import column_heads, column_widths, row_line, rows, way_to
from tui.work.selection import headings


@pytest.fixture(scope="module")
def assessment():
    return two_drops.assessed()


@pytest.fixture(scope="module")
def nodes(assessment) -> tuple[Node, ...]:
    return tree(assessment.design, assessment, 0)


def shown(nodes, width=37, **how) -> list[str]:
    widths = column_widths(nodes)
    return [text_of(row_line(row, width, widths, LINE)).rstrip() for row in rows(nodes, **how)]


def test_the_tree_follows_the_ducts_from_the_collector_outward(nodes):
    labels = [(row.depth, row.node.label) for row in rows(nodes)]
    assert labels[:8] == [
        (0, "collector"), (1, "curve points (3)"), (1, "losses (1)"), (1, "main"),
        (2, "straight 1.2 m"), (2, "elbow 90 deg west"), (2, "cleanout by the door"), (2, "planer drop"),
    ]  # fmt: skip
    places = [row.node.place for row in rows(nodes)]
    at = places.index(RunAt(1))
    assert places[at + 1] == JointOf(1) and places[at + 5] == EndOf(1)
    assert rows(nodes)[at + 1].node.label == "branch 45 deg north"
    assert JointOf(2) not in places  # straight on: the run's own row says it all


def test_rows_show_what_was_solved(assessment, nodes):
    state = assessment.sets[0].balance.runs["planer drop"]
    row = next(row for row in shown(nodes) if "planer drop" in row)
    assert f"125  {state.velocity:.1f}" in row
    flow = assessment.sets[0].balance.ports["planer/hood"].flow
    assert any(f"planer/hood {flow * 3600:.0f} of 820 m3/h" in row for row in shown(nodes))


def test_a_shut_run_says_so_in_words_and_is_dim(nodes):
    row = next(row for row in rows(nodes) if row.node.label == "lathe drop")
    line = row_line(row, 37, column_widths(nodes), LINE)
    assert text_of(line).endswith("100  shut  -")
    assert {role for text, role in line if text.strip()} == {"dim"}


def test_marks_are_those_of_the_findings(assessment):
    worst = worst_findings(assessment, 1)
    both = tree(assessment.design, assessment, 1)
    marks = {node.label: node.mark for node in way_to(both, RunAt(3))}
    for at, run in enumerate(assessment.design.runs):
        if run.id in marks:
            assert marks[run.id] == {"fault": "!", "caution": "*"}.get(worst.get(RunAt(at), ""), "ok")
    assert {"main", "main 2", "lathe drop"} <= marks.keys()
    assert "!" in {row.node.mark for row in rows(both)} or "*" in {row.node.mark for row in rows(both)}


def test_a_folded_row_shows_the_worst_it_hides(assessment):
    both = tree(assessment.design, assessment, 1)
    faults = {row.node.mark for row in rows(both) if isinstance(row.node.place, OfRun)}
    folded = rows(both, {("collector",)})[0]
    assert folded.folded
    assert text_of(row_line(folded, 37, (3, 4), LINE)).split()[-1] == ("!" if "!" in faults else "*")


def test_the_pressure_of_the_collector_is_the_total_one_wherever_it_is_shown(assessment):
    row = rows(tree(assessment.design, assessment, 0))[0]
    shown = {width: text_of(row_line(row, width, (3, 4), LINE)) for width in range(20, 60)}
    assert all((" Pa" in text) == (" Pa total " in text) for text in shown.values())
    assert " Pa total  1" in shown[59] and " Pa" not in shown[36] and " m3/h" in shown[36]


def test_folding_hides_and_headings_start_folded(nodes):
    assert "spiral: galvanised spiral" not in [row.node.label for row in rows(nodes)]
    assert "spiral: galvanised spiral" in [row.node.label for row in rows(nodes, {("stock",)})]
    assert "straight 1.2 m" not in [row.node.label for row in rows(nodes, {("runs", "main")})]


def test_a_fold_stays_with_its_run_when_rows_move(assessment):
    flipped = {("runs", "main 2")}
    moved, _ = edits.add_branch(assessment.design, RunAt(0))
    labels = [row.node.label for row in rows(tree(moved, None, 0), flipped)]
    assert "main 2" in labels and "lathe drop" not in labels


def test_a_filter_keeps_what_matches_and_what_it_stands_in(nodes):
    assert [row.node.label for row in rows(nodes, {("runs", "main")}, "MAGNET")] == ["collector", "main", "main 2", "magnet trap 0.35"]
    assert rows(nodes, (), "no such thing") == []
    drop = [row.node.label for row in rows(nodes, (), "planer drop")]
    assert drop[:3] == ["collector", "main", "planer drop"] and "straight 0.8 m" in drop and "main 2" not in drop


def test_the_overview_leaves_the_pieces_out(nodes):
    labels = [row.node.label for row in rows(nodes, pieces=False)]
    assert labels[:7] == ["collector", "curve points (3)", "losses (1)", "main", "planer drop", "main 2", "lathe drop"]


def test_every_thing_has_a_row_and_a_way_to_it(assessment, nodes):
    design = assessment.design
    places = [DESIGN, SITE, CONVEYING, COLLECTOR, CurvePointAt(2), LossAt(0), GateSetAt(1)]
    places += [SizeAt(0, 1), PortAt(1, 0)]
    places += [PieceAt(at, i) for at, run in enumerate(design.runs) for i in range(len(run.pieces))]
    for place in places:
        assert way_to(nodes, place)[-1].place == place
    assert way_to(nodes, RunAt(99)) == ()


def test_leaks_the_duct_outside_and_throttled_gates_have_rows():
    full = two_drops.assessed(two_drops.FULL)
    nodes = tree(full.design, full, 1)
    labels = {row.node.place: row.node.label for row in rows(nodes, {("gate sets",), ("duct to the outside",)})}
    assert labels[LEAKAGE] == "leakage: ducts of class A"
    assert labels[OUTLET] == "duct to the outside (3)"
    assert [labels[OUTLET.row(at)] for at in range(3)] == ["straight 2 m", "elbow 90 deg", "cowl 1"]
    assert labels[ThrottleAt(1, 0)] == "lathe gate open 50%"


def test_the_site_holds_walls_and_zones():
    nodes = tree(two_drops.design(two_drops.FULL), None, 0)
    [site] = [row.node for row in rows(nodes, set()) if row.node.place == SITE]
    assert site.label == "site: air and room" and [node.label for node in site.children] == ["walls (4)", "zones (1)"]
    labels = {row.node.place: row.node.label for row in rows(nodes, {("site",), ("walls",), ("zones",)})}
    assert labels[CornerAt(2)] == "4 m east, 5 m north" and labels[ZoneAt(0)] == "post (post)"


def test_what_can_be_selected_has_a_row():
    """The headings are those of the tree, and no other list is selected as a whole."""
    for text in (two_drops.TEXT, two_drops.FULL, two_drops.FREE_AIR):
        design = two_drops.design(text)
        shown = {row.node.place for row in rows(tree(design, None, 0), {("machines",), ("stock",), ("gate sets",), ("site",), ("design",)})}
        assert set(headings(design)) == {place for place in shown if isinstance(place, Rows)}


def test_the_names_users_give_are_text_not_markup():
    text = two_drops.TEXT.replace('"planer drop"', '"[red]drop[x]"')
    assessment = two_drops.assessed(text)
    assert any("[red]drop[x]" in row for row in shown(tree(assessment.design, assessment, 0)))


def test_every_row_fits_its_width_whatever_the_names():
    text = two_drops.TEXT.replace('"planer drop"', '"' + "漢字 drop " * 7 + '"')
    assessment = two_drops.assessed(text)
    nodes = tree(assessment.design, assessment, 0)
    for width in (27, 37, 60):
        for row in rows(nodes, {("stock",), ("machines",), ("gate sets",)}):
            assert width_of(row_line(row, width, column_widths(nodes), LINE)) == width


def test_imperial_designs_show_imperial_columns():
    assessment = two_drops.assessed(two_drops.TEXT.replace('[b]"', '[b]"\ndisplay = "imperial"'))
    nodes = tree(assessment.design, assessment, 0)
    widths = column_widths(nodes)
    assert column_heads(widths, "imperial").split() == ["in", "ft/min"]
    speed = assessment.sets[0].balance.runs["main"].velocity / 0.00508
    assert any(row.split()[1] == "main" and row.split()[3] == f"{speed:.0f}" for row in shown(nodes) if " main " in row)


def test_without_results_the_tree_still_stands(assessment):
    labels = [row.node.label for row in rows(tree(assessment.design, None, 0))]
    assert "planer/hood" in labels


def test_nodes_kept_over_edits_equal_those_made_anew():
    random, design = Random(3), load(SAVED_DESIGNS / "boat_shed.toml")
    assessment = assess(design)
    made = []
    for _ in range(6):
        at = random.randrange(len(design.runs))
        pieces = design.runs[at].pieces
        run = replace(design.runs[at], pieces=(*pieces[1:], Straight(length=make(random.uniform(0.1, 3.0), "length", "metric"))))
        design = replace(design, runs=(*design.runs[:at], run, *design.runs[at + 1 :]), display=random.choice(["metric", "imperial"]))
        assessment = assess(design, assessment)
        index = random.randrange(len(assessment.sets))
        made.append((design, assessment, index, tree(design, assessment, index)))
    for design, assessment, index, nodes in made:
        forget()
        assert tree(design, assessment, index) == nodes
