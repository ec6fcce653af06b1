"""Taking away what is selected: what is asked first, and why it cannot be. Knows nothing of the screen."""

from __future__ import annotations

from engine import edits
from engine.design import Corner, Machine, Run, Stock, StockSize
from engine.design.places import DESIGN, EndOf, JointOf, Rows, Table
from engine.design.rules.room import FEWEST_CORNERS
from engine.edits.resizing import kept_bores
from engine.parts.touched import touched
from tui.work.document import Document
from tui.work.edits.editing import own_counted, refusing


def delete(document: Document) -> str:
    """Delete the selection; a port end is disconnected. What that did, in a line. Raises Refused."""
    place, design = document.selection, document.design
    with refusing():
        if isinstance(place, EndOf):
            after = edits.set_fields(design, place.holder, {"ends": None, "port_taper": None})
            document.apply(f"disconnect {design.runs[place.run].ends}", after, place.holder)
            return f"{design.runs[place.run].ends} disconnected"
        document.apply(f"delete {edits.label(design, place)}", edits.delete(design, place), place)
    kept = kept_bores(design, place)
    return f"{edits.label(design, place)} deleted{f'; {kept}' if kept else ''}"


def deletion_warning(document: Document) -> str | None:
    """What to ask before the selection is deleted; None where no more than a piece goes that nobody bought."""
    design, place = document.design, document.selection
    asked = _more_than_a_piece(document)
    try:
        work = touched(design, edits.delete(design, place)).in_words
    except edits.EditError:  # told when it is deleted
        return asked
    return f"{asked or f'delete {edits.label(design, place)}?'} {work}" if work else asked


def _more_than_a_piece(document: Document) -> str | None:
    match document.selected:
        case Run() as run if not isinstance(document.selection, EndOf):
            beyond = len(edits.beyond(document.design, run.id))
            with_it = own_counted(beyond, "run") + " beyond it" if beyond else own_counted(len(run.pieces), "piece")
            return f"delete {run.id} with {with_it}?" if beyond or len(run.pieces) > 1 else None
        case Machine() as machine:
            return f"delete {machine.id}? its ducts stay, open-ended"
        case Stock() as stock:
            kept = kept_bores(document.design, document.selection)
            return f"delete {stock.id} with {own_counted(len(stock.sizes), 'size')}?{f' {kept}' if kept else ''}"
        case StockSize() if kept := kept_bores(document.design, document.selection):
            return f"delete {edits.label(document.design, document.selection)}? {kept}"
        case Corner() if len(document.design.site.room) == FEWEST_CORNERS:
            return f"delete the walls? {FEWEST_CORNERS} corners are the fewest"
    return None


def why_no_deletion(document: Document | None) -> str | None:
    """Why the selection cannot be deleted."""
    match document.selection if document else DESIGN:
        case Table(""):
            return "the design itself cannot be deleted"
        case JointOf():
            return "a joint goes with its run: select the run"
        case EndOf(run):
            return None if document and document.design.runs[run].ends else "nothing ends here"
        case Table(field) | Rows(field=field):
            return f"{field.replace('_', ' ')} cannot be deleted, only changed"
    return None
