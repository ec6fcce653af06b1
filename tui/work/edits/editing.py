"""The edits that commands make at the selection, and why one cannot be made now. Knows nothing of the screen."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from engine import edits
from engine.design import FILTER_STATES, Design, GateSet, Run, defaults
from engine.design.names import LONGEST_NAME, NAME_FIELD
from engine.design.places import COLLECTOR, CURVE, GATE_SETS, EndOf, GateSetAt, JointOf, OfRun, Row, Rows, SizeAt
from engine.design.typed import BadValue
from engine.units.words import counted
from tui.work.document import Document, Refused
from tui.work.edits.additions import Offer, additions
from tui.work.fields.points import read_points
from tui.work.mistakes_told import why_invalid


@contextmanager
def refusing() -> Iterator[None]:
    """An edit that cannot be done is refused."""
    try:
        yield
    except edits.EditError as error:
        raise Refused(str(error)) from None


# Adding


def add(document: Document, place: Row | Rows, offer: Offer) -> None:
    """Insert what is offered so that it stands at `place`, or make it the list that `place` is, and select it. Raises Refused."""
    with refusing():
        item = offer.make()
        if isinstance(place, Row):
            after, selected = edits.insert(document.design, place, item), place
        else:
            after, selected = edits.set_field(document.design, place.of, place.field, item), place.row(0)
        document.apply(f"add {edits.label(after, place)}", after, selected)


def branch(document: Document, toward: str | None = None) -> None:
    """Let a new run branch off at the selection, `toward` a direction where that is known, and select it. Raises Refused."""
    if not isinstance(document.selection, OfRun):
        raise Refused(why_no_branch(document) or "")
    with refusing():
        after, place = edits.add_branch(document.design, _branch_place(document.design, document.selection))
        after = edits.set_field(after, place, "toward", toward)
        document.apply(f"add {edits.label(after, place)}", after, place)


def _branch_place(design: Design, place: OfRun) -> OfRun:
    return edits.run_place(design, design.runs[place.run].joins) if isinstance(place, JointOf) else place


def why_no_addition(document: Document | None) -> str | None:
    """Why nothing can be added at the selection."""
    return None if document and additions(document) else "nothing can be added here: select a run, a machine, a stock or a gate set"


def why_no_insertion(document: Document | None) -> str | None:
    """Why nothing can be inserted before the selection."""
    if document is None or not additions(document, before=True):
        return "nothing can be inserted here: select a piece or another row of a list"
    return None


def why_no_branch(document: Document | None) -> str | None:
    """Why nothing can branch off at the selection."""
    run = document.selected_run if document else None
    if document is None or run is None:
        return "select a run or a piece to branch off at"
    if isinstance(document.selection, JointOf) and run.joins == "collector":
        return "only one run joins the collector: branch off further out"
    return None


# Copying, moving


def duplicate(document: Document) -> None:
    """Copy the selection behind it. Raises Refused."""
    with refusing():
        after, place = edits.duplicate(document.design, document.selection)
        document.apply(f"duplicate {edits.label(document.design, document.selection)}", after, place)


def why_no_duplicate(document: Document | None) -> str | None:
    """Why the selection cannot be copied."""
    if document is None or not isinstance(document.selection, Row):
        return "this cannot be duplicated: select a piece, a run, a machine or another row of a list"
    if isinstance(document.selected, Run) and document.selected.joins == "collector":
        return "only one run joins the collector"
    return None


def move(document: Document, by: int) -> None:
    """Move the selection among its like. Raises Refused."""
    with refusing():
        after, place = edits.move(document.design, document.selection, by)
        document.apply(f"move {edits.label(document.design, document.selection)}", after, place)


def why_no_move(document: Document | None, by: int) -> str | None:
    """Why the selection cannot be moved that way."""
    if document is None or not isinstance(document.selection, Row):
        return "this cannot be moved: select a piece, a machine or another row of a list"
    place = document.selection
    rows = edits.at(document.design, place.rows)
    like = [i for i, row in enumerate(rows) if not isinstance(row, Run) or row.joins == rows[place.index].joins]
    if not 0 <= like.index(place.index) + by < len(like):
        return f"this is the {'first' if by < 0 else 'last'} already"
    return None


# Naming


def name_of(document: Document) -> str:
    """The name of the selection, "" where it has none yet."""
    return getattr(document.selected, _name_field(document) or "", None) or ""


def rename(document: Document, text: str) -> None:
    """Give the selection another name. Raises Refused."""
    if why := why_bad_name(document, text):
        raise Refused(why)
    document.apply(f"rename {name_of(document) or 'it'}", _renamed(document, text))


def why_bad_name(document: Document, text: str) -> str | None:
    """Why a text cannot be the selection's name."""
    name = text.strip()
    if not name or len(name) > LONGEST_NAME:
        return f"a name of 1 to {LONGEST_NAME} characters is wanted"
    return why_invalid(_renamed(document, text))


def why_no_rename(document: Document | None) -> str | None:
    """Why the selection cannot be given a name."""
    if document and isinstance(document.selection, EndOf | JointOf):
        return "this has no name of its own: a port is renamed among the machines, a run at its own row"
    return None if document and _name_field(document) else "this has no name"


def _renamed(document: Document, text: str) -> Design:
    return edits.set_field(document.design, document.selection, _name_field(document) or "", text.strip())


def _name_field(document: Document) -> str | None:
    selected = document.selected
    if isinstance(document.selection, EndOf | JointOf):
        return None
    return NAME_FIELD.get(type(selected)) or ("name" if hasattr(selected, "name") else None)


# The rest


def add_gate_set(document: Document, machines: tuple[str, ...]) -> str:
    """Add the gate set of these machines at work, and show it; its name. Raises Refused."""
    wanted = " + ".join(machines) if len(machines) > 1 else f"{machines[0]} alone"
    place = GateSetAt(len(document.design.gate_sets))
    name = edits.fresh_name(wanted, edits.names_taken(document.design, GATE_SETS, GateSet))
    document.apply(f"add gate set {name}", edits.insert(document.design, place, GateSet(name=name, open=machines)), place)
    document.show_gate_set(place.index)
    return name


def why_not_together(document: Document | None) -> str | None:
    """Why there are no machines to combine."""
    return None if document and any(run.ends for run in document.design.runs) else "no run leads to a machine yet"


def why_nothing_to_lay(document: Document | None) -> str | None:
    """Why no ducts can be drafted."""
    from engine.search.layouts.shop import why_no_ducts  # wanted here alone

    return why_no_ducts(document.design) if document else "no design is open"


def paste_curve(document: Document, text: str) -> str:
    """Lines "flow pressure" in place of the collector's curve; what was done, in a line. Raises Refused."""
    if document.selection.steps[:1] != COLLECTOR.steps:
        raise Refused("select the collector to paste its curve: a flow and a pressure a line")
    try:
        points = read_points(text, document.system)
    except BadValue as reason:
        raise Refused(str(reason)) from None
    with refusing():
        after = edits.set_field(document.design, COLLECTOR, "curve", points)
    document.apply(f"curve of {own_counted(len(points), 'pasted point')}", after, CURVE)
    return f"curve of {own_counted(len(points), 'point')}; u takes it back"


def why_no_run(document: Document | None) -> str | None:
    """Why no run is selected."""
    return None if document and document.selected_run else "select a run or one of its pieces first"


def substitutable(document: Document) -> str | None:
    """What is selected that stands for a size, or could stand for others: a size of the stock, or a run's id; None for anything else."""
    if isinstance(document.selection, SizeAt):
        return edits.label(document.design, document.selection)
    run = document.selected_run
    return run.id if run and run.size else None


def why_no_substitute(document: Document | None) -> str | None:
    """Why there is no size to take another one for."""
    return None if document and substitutable(document) else "select a run of a stocked size, or a size of the stock"


def why_no_throttling(document: Document | None) -> str | None:
    """Why there are no gates to balance."""
    several = document and any(len(gate_set.open) > 1 for gate_set in document.gate_sets)
    return None if several else "no gate set has several machines at work"


def next_filter_state(document: Document) -> None:
    """Take the next state of the filter."""
    now = FILTER_STATES.index(filter_state(document.design))
    state = FILTER_STATES[(now + 1) % len(FILTER_STATES)]
    written = None if state == defaults.FILTER else state
    document.apply(f"filter {state}", edits.set_field(document.design, COLLECTOR, "filter", written))


def filter_state(design: Design) -> str:
    """The state of the collector's filter."""
    return design.collector.filter or defaults.FILTER


def why_no_filter_state(document: Document | None) -> str | None:
    """Why the state of the filter changes nothing."""
    if document and any(loss.clean or loss.dirty for loss in document.design.collector.losses):
        return None
    return "no loss of the collector has a value for a clean or a dirty filter"


def why_no_other_gate_set(document: Document | None) -> str | None:
    """Why no other gate set can be shown."""
    return None if document and len(document.gate_sets) > 1 else "there is one gate set only"


def why_no_revert(document: Document | None) -> str | None:
    """Why there is no saved design to go back to."""
    if document is None or document.on_file is None:
        return "this design is in no file yet"
    return None if document.dirty else "the design is as its file holds it"


def own_counted(count: int, word: str) -> str:
    """ "its piece", "2 pieces", "1 run"."""
    return f"its {word}" if count == 1 and word != "run" else counted(count, word)
