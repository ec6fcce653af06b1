"""Everything that can be selected, in every gate set: each pane has something to say, and no command stumbles over it."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import pytest

from engine import load
from engine.assess import Assessment, assess
from tests.terminal.pty_session import ROOT
from tests.tui import two_drops
from tui import commands, editing
from tui.additions import additions
from tui.document import Document, Refused
from tui.selection import Place, nearest
from tui.widgets import results_now, results_sets, results_where
from tui.widgets.form_facts import facts
from tui.widgets.form_fields import fields
from tui.widgets.lines import width_of
from tui.widgets.results import View
from tui.widgets.tree_nodes import Node, tree

SHOPS = {"two drops": two_drops.TEXT, "everything": two_drops.FULL, "free air": two_drops.FREE_AIR}
EDITS = {
    commands.Delete: editing.delete, commands.Duplicate: editing.duplicate, commands.Branch: editing.branch,
    commands.MoveUp: lambda document: editing.move(document, -1), commands.MoveDown: lambda document: editing.move(document, +1),
    commands.FilterState: editing.next_filter_state,
}  # fmt: skip
DEMOS = [path.stem for path in sorted((ROOT / "saved_designs").glob("*.toml"))]


@cache
def assessed(name: str) -> Assessment:
    return two_drops.assessed(SHOPS[name]) if name in SHOPS else assess(load(ROOT / "saved_designs" / f"{name}.toml"))


def places(nodes: tuple[Node, ...]) -> Iterator[Place]:
    for node in nodes:
        yield node.place
        yield from places(node.children)


@pytest.mark.parametrize("name", [*SHOPS, *DEMOS])
def test_every_pane_has_something_to_say(name):
    assessment = assessed(name)
    design = assessment.design
    for index in {0, len(assessment.sets) - 1}:
        for place in places(tree(design, assessment, index)):
            assert nearest(design, place) == place
            assert fields(design, place) or facts(design, assessment, index, place), place
            view = View(assessment, index, place, 39, 8)
            for tab in (results_now, results_sets, results_where) if index == 0 else (results_now,):
                assert all(width_of(line) <= 39 for item in tab.items(view) for line in (*item.lines, *item.more))


@pytest.mark.parametrize("name", SHOPS)
def test_no_command_stumbles(name):
    """Each may be refused with a reason; none raises anything else, and the selection has a row afterwards."""
    design = assessed(name).design
    for place in places(tree(design, None, 0)):
        can = {command for command in commands.WORKBENCH if command.why_not(_at(design, place)) is None}
        edit = [change for command, change in EDITS.items() if command in can]
        adding = [
            lambda document, addition=addition: editing.add(document, addition.place, addition.offers[0])
            for before in (False, True)
            for addition in additions(_at(design, place), before=before)
        ]
        for change in (*edit, *adding):
            document = _at(design, place)
            try:
                change(document)
            except Refused as reason:
                assert "\n" not in str(reason) and document.design is design
            assert document.selection in set(places(tree(document.design, None, 0)))


def _at(design, place: Place) -> Document:
    document = Document(design)
    document.select(place)
    return document
