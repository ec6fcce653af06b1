"""The plan: what it shows of a shop, in every glyph set, and where its names stand."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from functools import cache
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine import load
from engine.checks.assess import Assessment, assess
from engine.design import ZONE_KINDS, Body
from engine.design.places import COLLECTOR, EndOf, MachineAt, PieceAt, RunAt, StockAt
from tests import DEMO_FILES, ROOT, SAVED_DESIGNS
from tests.shops import placed_drops, two_drops
from tests.shops.small_shops import q
from tests.tui.draw.test_raster import CONSOLE
from tui.draw.glyphs import ASCII, FINE, GLYPHS, LINE
from tui.draw.lines import text_of, width_of
from tui.panes.plan import sheet
from tui.panes.plan.drawing import cells_of, draw, drawn
from tui.panes.plan.labels import Around, Label, place_labels
from tui.panes.plan.numbers import numbers
from tui.panes.plan.scene import Scene, scene_of
from tui.panes.plan.sheet import Camera
from tui.panes.plan.sight import Sight, fitted, scale_bar, scale_text, span, steps

DEMOS = [path.stem for path in DEMO_FILES]
SIZES = [(58, 12), (78, 18), (118, 28), (198, 52)]
MAIN, PLANER_DROP, LATHE_DROP = RunAt(0), RunAt(1), RunAt(3)


@cache
def assessed(name: str) -> Assessment:
    return (
        two_drops.assessed(placed_drops.TEXT.replace("[site]", '[site]\nheadroom = "1.9 m"'))
        if name == "placed"
        else assess(load(SAVED_DESIGNS / f"{name}.toml"))
    )


def scene(name: str = "placed", index: int = 0) -> Scene:
    return scene_of(assessed(name), assessed(name).sets[index])


def plan(of: Scene, width: int = 78, height: int = 18, view: str = "plan") -> Sight:
    return fitted((view,), of.points, width, height, "metric")[0]


def cell(of: Scene, sight: Sight, place, glyphs=LINE) -> tuple[str, str]:
    """(character, role) where a place is, the middle of it."""
    cells = cells_of(of, sight, place)
    x, y = cells[len(cells) // 2]
    spans = draw(of, sight, glyphs)[y]
    return [(letter, role) for text, role in spans for letter in text][x]


def test_the_drawing_needs_no_screen():
    code = "import sys, tui.panes.plan.sheet, tui.panes.plan.numbers, tui.work.edits.moving; sys.exit('textual' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=False).returncode == 0


# Sights


def test_a_row_spans_twice_the_metres_of_a_column():
    sight = Sight("plan", 0.0, 0.0, 0.1, 40, 20)
    assert sight.at((1.0, 0.0, 5.0)) == pytest.approx((30, 10))
    assert sight.at((0.0, 1.0, 5.0)) == pytest.approx((20, 5))


def test_each_view_has_its_own_right_and_up():
    point = (1.0, 2.0, 3.0)
    at = {view: Sight(view, 0.0, 0.0, 1.0, 0, 0).at(point) for view in ("plan", "north", "east")}
    assert at == {"plan": (1.0, -1.0), "north": (1.0, -1.5), "east": (-2.0, -1.5)}


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", DEMOS)
def test_what_is_fitted_is_all_in_sight_at_a_scale_that_can_be_named(name, size):
    for views in sheet.SHEETS:
        for units in ("metric", "imperial"):
            sights = fitted(views, scene(name).points, *size, units)
            assert sum(sight.height for sight in sights) + len(sights) - 1 == size[1]
            assert len({sight.column for sight in sights}) == 1 and sights[0].column in steps(units)
            assert all(sight.holds(point) for sight in sights for point in scene(name).points)


def test_the_scale_is_told_in_the_units_shown_and_its_bar_is_as_long_as_it_says():
    assert scale_text(0.15, "metric") == "1 cell = 0.15 m across, 0.3 m up"
    assert scale_text(8 * 0.0254, "imperial") == "1 cell = 8in across, 1ft 4in up"
    for column in steps("metric"):
        cells, text = scale_bar(column, "metric")
        assert cells * column == pytest.approx(float(text.split()[0])) and 4 <= cells <= 12
    assert scale_bar(0.15, "metric") == (10, "1.5 m") and scale_bar(0.1, "metric") == (10, "1 m")
    assert scale_bar(0.0254 * 12, "imperial") == (10, "10ft")


def test_zooming_keeps_what_is_selected_where_it_is():
    of = scene()
    camera, before = Camera(("plan",)), plan(of)
    for _ in range(3):
        camera = sheet.zoomed(camera, sheet.sights(camera, of, 78, 18, "metric")[0], -1, of, "metric", MachineAt(0))
    after = sheet.sights(camera, of, 78, 18, "metric")[0]
    machine = of.spot(MachineAt(0)).at
    assert after.column < before.column and after.at(machine) == pytest.approx(before.at(machine), abs=0.51)


def test_what_is_selected_out_of_sight_comes_in_sight():
    of = scene()
    camera = sheet.panned(Camera(("plan", "north"), 0.05), sheet.sights(Camera(("plan", "north"), 0.05), of, 78, 18, "metric")[0], 9, 9)
    for place in (COLLECTOR, MachineAt(1), PLANER_DROP):
        camera = sheet.following(camera, sheet.sights(camera, of, 78, 18, "metric"), of, place)
        assert all(any(sight.holds(point) for point in of.points_of(place)) for sight in sheet.sights(camera, of, 78, 18, "metric"))


# What is shown


def test_mains_are_double_branches_single_and_what_draws_no_air_is_dotted():
    of = scene()
    sight = plan(of)
    assert cell(of, sight, PieceAt(MAIN.run, 0)) == ("║", "bar")
    assert cell(of, sight, PieceAt(LATHE_DROP.run, 1)) == ("·", "dim")
    assert cell(of, sight, PieceAt(PLANER_DROP.run, 1))[0] in "─│┌┐└┘"
    both = scene(index=1)
    assert cell(both, sight, PieceAt(LATHE_DROP.run, 1)) == ("─", "bar")


def test_a_gate_shows_whether_it_is_open_in_the_set_shown():
    of, both = scene(), scene(index=1)
    sight = plan(of)
    gate = cells_of(of, sight, PieceAt(LATHE_DROP.run, 0))[0]
    row = lambda scene_: "".join(text for text, _ in draw(scene_, sight, LINE)[gate[1]])  # noqa: E731
    assert row(of)[gate[0]] == "x" and row(both)[gate[0]] == "○"


def test_what_is_wrong_is_marked_at_its_piece_and_a_machine_s_behind_its_name():
    text = placed_drops.TEXT.replace('hose = "0.6 m"', 'hose = "0.4 m"')
    of = scene_of(two_drops.assessed(text), two_drops.assessed(text).sets[0])
    assert of.found[PieceAt(PLANER_DROP.run, 2)] == "fault"
    shown = "\n".join(text_of(row) for row in draw(of, plan(of), LINE))
    assert "!" in shown and "!" not in "\n".join(text_of(row) for row in draw(scene(), plan(scene()), LINE))


def test_room_zones_machines_and_collector_are_there():
    shown = "\n".join(text_of(row) for row in draw(scene(), plan(scene()), ASCII))
    for text in ("%%%%", "@", "__", "/", "[C]", "M", "~", "planer", "lathe", "collector", "post", "street door", "main", "N"):
        assert text in shown, text


def test_every_kind_of_zone_is_drawn_from_above_and_from_the_side():
    bare = replace(scene(), zones=())
    for kind in ZONE_KINDS:
        of = replace(bare, zones=((kind, "thing", (0.2, 0.2, 0.0), (0.8, 0.8, 1.0)),))
        for view in ("plan", "north", "east"):
            sight = sheet.sights(Camera((view,)), of, 78, 18, "metric")[0]
            assert draw(of, sight, ASCII) != draw(bare, sight, ASCII), (kind, view)


def test_the_selected_piece_is_reverse_and_nothing_else_changes():
    of = scene()
    sight = plan(of)
    for place in (MAIN, PieceAt(0, 1), PieceAt(3, 0), MachineAt(0), COLLECTOR, EndOf(3)):
        marked = [
            (x, y) for y, row in enumerate(draw(of, sight, LINE, place))
            for x, (_, role) in enumerate((letter, role) for text, role in row for letter in text) if "cursor" in role
        ]  # fmt: skip
        assert marked and set(cells_of(of, sight, place)) <= set(marked)


def test_a_riser_seen_from_above_shows_which_way_it_goes():
    riser = '{ straight = "1 m" }, { elbow = "90 deg", toward = "up" }, { straight = "1 m" }'
    text = placed_drops.TEXT.replace('{ straight = "1.2 m" }, { elbow = "90 deg", toward = "west" }', riser)
    text = text.replace('{ gate = "planer gate" }, { straight = "0.8 m" }', '{ straight = "0.8 m" }, { gate = "planer gate" }')
    of = replace(scene_of(two_drops.assessed(text), two_drops.assessed(text).sets[0]), found={})
    assert "▲" in "".join(text_of(row) for row in draw(of, plan(of), LINE))


def test_what_has_no_place_is_said():
    text = placed_drops.TEXT.replace('{ elbow = "90 deg", toward = "west" }', '{ elbow = "90 deg" }')
    text = text.replace('id = "planer"\neast = "2.95 m"\n', 'id = "planer"\n')
    remarks = scene_of(two_drops.assessed(text), two_drops.assessed(text).sets[0]).remarks
    assert remarks == ("4 runs without a place: elbow of main has no direction", "planer: no position")
    nowhere = scene_of(two_drops.assessed(), two_drops.assessed().sets[0])
    assert nowhere.remarks == ("the collector has no position: only the ducts are drawn, from its inlet",)
    assert not nowhere.corners and {spot.name for spot in nowhere.spots} == {"planer", "lathe", "collector"}
    assert scene().remarks == ()


def test_how_far_the_work_has_come_is_said():
    text = placed_drops.TEXT.replace('id = "main"\n', 'id = "main"\nstate = "tested"\n').replace(
        'gate = "planer gate"', 'gate = "planer gate", state = "cut"'
    )
    found = two_drops.assessed(text)
    shown = scene_of(found, found.sets[0])
    assert shown.remarks == ("tested: main", "cut: planer drop")
    assert "tested" in numbers(found, found.sets[0], shown, MAIN, LINE) and "cut in part" in numbers(found, found.sets[0], shown, PLANER_DROP, LINE)


def test_tab_goes_along_the_ducts_and_past_every_piece_and_machine_once():
    for name in ("placed", *DEMOS):
        order, design = scene(name).order, assessed(name).design
        assert order[0] == COLLECTOR and len(set(order)) == len(order)
        wanted = {COLLECTOR, *(MachineAt(at) for at in range(len(design.machines)))}
        wanted |= {RunAt(at) for at in range(len(design.runs))}
        wanted |= {PieceAt(at, i) for at, run in enumerate(design.runs) for i in range(len(run.pieces))}
        assert set(order) == wanted
        at = {design.runs[place.run].id: number for number, place in enumerate(order) if isinstance(place, RunAt)}
        assert all(run.joins == "collector" or at[run.joins] < at[run.id] for run in design.runs)


def test_the_foot_tells_bore_speed_height_and_length():
    assessment, of = assessed("placed"), scene()
    told = lambda place: numbers(assessment, assessment.sets[0], of, place, LINE)  # noqa: E731
    assert told(PieceAt(MAIN.run, 0)) == "straight of main: 160 mm · 17.9 m/s · 2 m up · 1.2 m long"
    assert told(PieceAt(LATHE_DROP.run, 0)) == "gate of lathe drop: 100 mm · no air · shut · 2 m up"
    assert "hose reaches, 0.11 m spare" in told(MachineAt(0)) and "2.95 m east" in told(MachineAt(0))
    assert told(StockAt(0)) == "spiral: has no place on the plan"


@pytest.mark.parametrize("glyphs", GLYPHS.values(), ids=GLYPHS)
@pytest.mark.parametrize("name", ["placed", *DEMOS])
def test_every_row_fills_its_width_in_the_letters_of_its_set(name, glyphs):
    for size in SIZES[:3]:
        of = scene(name)
        for row in sheet.sheet(of, sheet.sights(Camera(), of, *size, "metric"), glyphs, of.order[5]):
            assert width_of(row) == size[0]
            letters = set(text_of(row))
            assert glyphs is FINE or letters <= CONSOLE | {"»"}
            assert glyphs is not ASCII or max(letters) < "\x7f"


# Names

cells = st.tuples(st.integers(-2, 32), st.integers(-2, 12))


names = st.tuples(st.text("ab木", min_size=1, max_size=12), st.lists(cells, min_size=1, max_size=3), st.booleans())


@given(st.lists(names, max_size=25), st.sets(cells, max_size=60), st.sets(cells, max_size=60))
def test_names_never_overlap_nor_cover_what_is_drawn(wanted, taken, ground):
    labels = [Label(text, tuple(beside), whole=whole) for text, beside, whole in wanted]
    placed = place_labels(labels, Around(30, 10, taken, ground, frozenset(beside[0] for _, beside, _ in wanted)), LINE)
    for one in placed:
        assert not set(one.cells) & taken
        assert all(0 <= x < 30 and 0 <= y < 10 for x, y in one.cells)
    for one, other in combinations(placed, 2):
        assert not set(one.cells) & set(other.cells)
        assert one.y != other.y or one.x + len(one.cells) < other.x or other.x + len(other.cells) < one.x


@pytest.mark.parametrize("name", ["placed", *DEMOS])
def test_no_name_hides_a_machine_or_a_duct(name):
    for index, size, view in ((0, (58, 12), "plan"), (-1, (78, 18), "plan"), (0, (118, 28), "north"), (-1, (38, 14), "east")):
        of = scene(name, index)
        sight = fitted((view,), of.points, *size, "metric")[0]
        _, labels = drawn(of, sight, LINE, of.order[3])
        covered = {cell for label in labels for cell in label.cells}
        ducts = {cell for duct in of.ducts for cell in cells_of(of, sight, duct.place)}
        spots = {cell for spot in of.spots for cell in cells_of(of, sight, spot.place)}
        assert not covered & (ducts | spots)


def test_every_machine_of_a_roomy_plan_has_its_whole_name():
    of = scene("signal_box")
    labels = drawn(of, plan(of, 118, 28), LINE)[1]
    assert {spot.name for spot in of.spots} <= {label.text.removesuffix(" *").removesuffix(" !") for label in labels}


def test_the_middle_of_a_span_is_where_it_is_looked_at():
    left, right, low, high = span("plan", scene().points)
    sight = plan(scene())
    assert (sight.right, sight.up) == pytest.approx(((left + right) / 2, (low + high) / 2))


@pytest.mark.parametrize("glyphs", [LINE, ASCII], ids=["line", "ascii"])
def test_the_ground_that_a_machine_takes_is_drawn_where_it_is_known(glyphs):
    made = assessed("placed").design
    first = made.machines[0]
    sized = replace(made, machines=(replace(first, size=Body(east=q("1.6 m"), north=q("1.2 m"), up=q("1 m"))), *made.machines[1:]))
    assessment = assess(sized)
    shown = scene_of(assessment, assessment.sets[0])
    assert [low for kind, _, low, _ in shown.zones if kind == "body"] == [pytest.approx((first.east.si - 0.8, first.north.si - 0.6, 0.0))]
    bare = scene_of(assessed("placed"), assessed("placed").sets[0])
    with_body, without = (sum(text_of(row).count(glyphs.grounds["body"]) for row in draw(each, plan(shown), glyphs)) for each in (shown, bare))
    assert with_body > without == 0
