"""The row above the key line: how many faults and cautions there are, and what just happened."""

from __future__ import annotations

from engine.checks.assess import Assessment
from engine.field.tuned import tuned_briefly, tuned_note
from engine.units.printable import printable
from engine.units.words import counted
from tui.draw.glyphs import Glyphs
from tui.draw.line_view import LineView
from tui.draw.lines import Line, line, spread, width_of, wrapped_to
from tui.work.session import Status

# Rows that a long message may take from the page, until the next key.
_ROWS = 3


class StatusLine(LineView):
    """The status row of a screen; more rows while a message needs them."""

    def update_status(self, status: Status, glyphs: Glyphs) -> None:
        """Show a status."""
        rows = status_rows(status, self.app.size.width, glyphs)
        if len(rows) != len(self._lines):  # a height that is set is laid out anew, be it the same
            self.styles.height = len(rows)
        self.show(rows)


def status_rows(status: Status, width: int, glyphs: Glyphs) -> list[Line]:
    """The status row of `width` cells; a message that is longer whole, in more rows."""
    message = line(" ", (printable(status.message), "fault" if status.trouble else "text"), " ")
    if width_of(message) <= width:
        return [status_line(status, width, glyphs)]
    return [line(" ", *row) for row in wrapped_to(message[1][0], width - 2, _ROWS, glyphs, message[1][1])]


def status_line(status: Status, width: int, glyphs: Glyphs) -> Line:
    """One line of `width` cells; a message takes the place of what changed, and of the counts where it needs the room."""
    counts = _counts(status.assessment, glyphs)
    said = (status.message, "fault" if status.trouble else "text") if status.message else (status.changed, "changed")
    right = line((printable(said[0]), said[1]), " ")
    counts = (*counts, *_tuned(status.assessment, width - width_of((*counts, *right)) - 2, glyphs))
    if status.message and width_of((*counts, *right)) + 2 > width:
        return spread(line(" ", *right), (), width, glyphs)
    return spread(counts, right, width, glyphs)


def _tuned(assessment: Assessment | None, room: int, glyphs: Glyphs) -> Line:
    """By which readings all figures go, in as many words as there is room for; nothing where they are the design's own."""
    if assessment is None or not (note := tuned_note(assessment.design)):
        return ()
    told = [line((glyphs.divider, "dim"), (text, "caution")) for text in (note, tuned_briefly(assessment.design), "tuned")]
    return next((one for one in told if width_of(one) <= room), told[-1])


def _counts(assessment: Assessment | None, glyphs: Glyphs) -> Line:
    if assessment is None:
        return ()
    faults, cautions = assessment.count("fault"), assessment.count("caution")
    accepted = ((glyphs.divider, "dim"), (f"{assessment.accepted} accepted", "dim")) if assessment.accepted else ()
    return line(
        " ", (counted(faults, "fault", none="no"), "fault" if faults else "ok"),
        (glyphs.divider, "dim"), (counted(cautions, "caution", none="no"), "caution" if cautions else "text"), *accepted,
    )  # fmt: skip
