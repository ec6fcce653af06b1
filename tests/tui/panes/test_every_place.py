"""Everything that can be selected, in every gate set: each pane has something to say, and no command stumbles over it."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import pytest

from engine import load
from engine.checks.assess import Assessment, assess
from engine.design.places import Place
from tests import DEMO_FILES, SAVED_DESIGNS
from tests.shops import two_drops
from tui import commands
from tui.commands import edit
from tui.draw.glyphs import LINE
from tui.draw.lines import width_of
from tui.panes.form.facts import facts
from tui.panes.results import now, sets, where
from tui.panes.results.view import View
from tui.panes.tree.node import Node
from tui.panes.tree.nodes import tree
from tui.work import progress
from tui.work.document import Document, Refused
from tui.work.edits import deleting, editing
from tui.work.edits.additions import additions
from tui.work.fields.fields import fields
from tui.work.selection import nearest

SHOPS = {"two drops": two_drops.TEXT, "everything": two_drops.FULL, "free air": two_drops.FREE_AIR}
EDITS = {
    edit.Delete: deleting.delete, edit.Duplicate: editing.duplicate, edit.Branch: editing.branch,
    edit.MoveUp: lambda document: editing.move(document, -1), edit.MoveDown: lambda document: editing.move(document, +1),
    edit.FilterState: editing.next_filter_state, edit.MarkWork: progress.next_state,
}  # fmt: skip
DEMOS = [path.stem for path in DEMO_FILES]


@cache
def assessed(name: str) -> Assessment:
    return two_drops.assessed(SHOPS[name]) if name in SHOPS else assess(load(SAVED_DESIGNS / f"{name}.toml"))


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
            assert fields(design, place) or facts(assessment, index, place), place
            view = View(assessment, index, place, 39, 8, LINE)
            for tab in (now, sets, where) if index == 0 else (now,):
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
            refused = ""
            try:
                change(document)
            except Refused as reason:
                refused = str(reason)
            assert not refused or ("\n" not in refused and document.design is design)
            assert document.selection in set(places(tree(document.design, None, 0)))


def _at(design, place: Place) -> Document:
    document = Document(design)
    document.select(place)
    return document
