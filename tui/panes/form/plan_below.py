"""The plan below the fields of a form, where a large terminal leaves room for one."""

from __future__ import annotations

from tui.draw.lines import Line
from tui.work.session import Session

# Cells that a plan wants at least.
_ROWS, _COLUMNS = 12, 36


def with_plan(body: list[Line], session: Session, width: int, height: int, spare: int) -> list[Line]:
    """The body of a form with the plan at its foot, `spare` rows high, what is selected marked; without one where there is no room."""
    if spare < _ROWS or width < _COLUMNS or len(body) + spare > height or not session.up_to_date:
        return body
    from tui.panes.plan.sheet import overview  # with all that draws: not before it is wanted

    document = session.document
    plan = overview(session.assessment, document.gate_set_index, document.selection, width, spare, session.glyphs)
    return [*body, *[()] * (height - len(body) - len(plan)), *plan]
