"""Names through everything that asks for one: kept and read back equal, or refused in a line with the design as it was."""

from __future__ import annotations

import pytest

from engine.design.places import DESIGN, LOSSES, ZONES, GateSetAt, MachineAt, PieceAt, PortAt, RunAt, SizeAt, StockAt
from engine.files.design_file import dumps, loads
from engine.search.remedies.trials import remedies
from engine.search.throttling.division import throttlings
from engine.survey import answers as questions
from engine.survey import kept
from engine.units.printable import printable
from tests.shops import two_drops
from tests.shops.names import STRANGE, UNFIT, code
from tui.draw.text_edit import TextEdit
from tui.keep.file_names import as_path, suggested, why_no_file
from tui.pages.interview.rows import typed
from tui.panes.form.typing import Typing
from tui.work.document import Document, Refused
from tui.work.edits import editing
from tui.work.fields.fields import fields
from tui.work.fields.values import BadValue, read

PLACES = {
    "design": DESIGN, "run": RunAt(2), "gate": PieceAt(1, 0), "cleanout": PieceAt(0, 2), "own loss": PieceAt(2, 1), "machine": MachineAt(0),
    "port": PortAt(0, 0), "stock": StockAt(0), "size": SizeAt(0, 1), "gate set": GateSetAt(1), "loss": LOSSES.row(0), "zone": ZONES.row(0),
}  # fmt: skip
"""Everything in the full shop that has a name."""
PAIRED = [PLACES[name] for name in ("run", "machine", "port", "stock")]
"""Those whose names hold no slash: one stands between two names, as in "planer/hood"."""


def opened(place) -> Document:
    document = Document(two_drops.design(two_drops.FULL))
    document.select(place)
    return document


def renamed(name: str) -> Document:
    """The full shop with a strange name, numbered to be its own, for everything that has one."""
    document = Document(two_drops.design(two_drops.FULL))
    for number, place in enumerate(PLACES.values()):
        document.select(place)
        editing.rename(document, f"{name.strip()[:76]}{number}")
    return document


@pytest.mark.parametrize("place", PLACES.values(), ids=PLACES)
@pytest.mark.parametrize("name", STRANGE, ids=code)
def test_a_strange_name_is_kept_and_read_back(tmp_path, name, place):
    document = opened(place)
    if "/" in name and place in PAIRED:
        name = name.replace("/", "|")
    editing.rename(document, name)
    assert editing.name_of(document) == name.strip()
    document.save_as(tmp_path / "shop.toml")
    assert Document.open(tmp_path / "shop.toml").design == document.design


@pytest.mark.parametrize("place", PAIRED)
def test_a_name_that_is_written_with_a_slash_in_references_holds_none(place):
    document = opened(place)
    before = document.design
    with pytest.raises(Refused, match='a name without "/"'):
        editing.rename(document, "a/b")
    assert document.design is before


@pytest.mark.parametrize("place", PLACES.values(), ids=PLACES)
@pytest.mark.parametrize("letter", UNFIT, ids=code)
def test_a_name_with_a_letter_that_no_file_may_hold_is_refused_in_a_line(letter, place):
    document = opened(place)
    before = document.design
    with pytest.raises(Refused) as reason:
        editing.rename(document, f"a{letter}b")
    assert document.design is before and document.undo_name is None
    assert printable(str(reason.value)) == str(reason.value) and "plain text" in str(reason.value)


@pytest.mark.parametrize("letter", UNFIT, ids=code)
def test_what_is_typed_or_pasted_into_a_field_is_in_the_design_as_it_is_seen(letter):
    document = opened(RunAt(2))
    field = next(field for field in fields(document.design, RunAt(2)) if field.name == "id")
    typing = Typing(document, field)
    typing.take(typing.editing.edit.insert(f"a{letter}b"))
    typing.finish()
    assert document.design.runs[2].id == typing.editing.edit.text == "ab"
    typing.take(TextEdit.of(f"a{letter}b"))
    assert typing.editing.trouble and document.design.runs[2].id == "ab"


@pytest.mark.parametrize("name", STRANGE, ids=code)
def test_an_interview_keeps_a_strange_name(name):
    row = typed(questions.blank(), DESIGN, "name", "name", given="name")
    answers = row.line.read(name)[0]
    assert answers.shop.name == name.strip() and kept.loads(kept.dumps(answers)) == answers


@pytest.mark.parametrize("letter", UNFIT, ids=code)
def test_an_interview_refuses_a_letter_that_no_file_may_hold(letter):
    row = typed(questions.blank(), DESIGN, "name", "name", given="name")
    with pytest.raises(BadValue, match="wanted plain text") as reason:
        row.line.read(f"a{letter}b")
    assert printable(str(reason.value)) == str(reason.value)


@pytest.mark.parametrize("name", [*STRANGE, *(f"a{letter}b" for letter in UNFIT)], ids=code)
def test_a_file_is_saved_under_a_strange_name_and_read_back_or_refused_in_a_line(tmp_path, monkeypatch, name):
    monkeypatch.chdir(tmp_path)
    document = opened(DESIGN)
    assert why_no_file(suggested(name)) is None
    if (reason := why_no_file(name)) is not None:
        assert not name.isprintable() or "/" in name
        assert len(reason.splitlines()) == 1 and list(tmp_path.iterdir()) == []
        return
    document.save_as(as_path(name))
    assert Document.open(as_path(name)).design == document.design and as_path(name).name == f"{name.strip()}.toml"


@pytest.mark.parametrize("name", STRANGE, ids=code)
def test_what_searches_offer_has_the_names_of_the_design_and_reads_back(name):
    design = renamed(name.replace("/", "|")).design  # no machine has a slash in its name
    offered = [step for search in (remedies(design, pairs=False), throttlings(design, even=True)) for step in list(search)[-1].proposals]
    assert offered
    for proposal in offered:
        assert loads(dumps(proposal.design)) == proposal.design and len(f"{proposal.title} {proposal.reason}".splitlines()) == 1
        assert {run.id for run in design.runs} <= {run.id for run in proposal.design.runs}


def test_a_run_is_not_named_a_length():
    document = Document(loads(two_drops.TEXT))
    name = next(field for field in fields(document.design, RunAt(0)) if field.name == "id")
    for text in ("4ft", "1.2 m", "3' 6\""):
        with pytest.raises(BadValue, match="is a length: wanted a name here"):
            read(name, text, "imperial")
    assert read(name, "4ft run", "imperial") == "4ft run" and read(name, "12", "imperial") == "12"
