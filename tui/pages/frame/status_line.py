"""The row above the key line: how many faults and cautions there are, and what just happened."""

from __future__ import annotations

from engine.checks.assess import Assessment
from engine.units.printable import printable
from engine.units.words import counted
from tui.draw.glyphs import Glyphs
from tui.draw.line_view import LineView
from tui.draw.lines import Line, line, spread
from tui.work.session import Status


class StatusLine(LineView):
    """The status row of a screen."""

    def update_status(self, status: Status, glyphs: Glyphs) -> None:
        """Show a status."""
        self.show([status_line(status, self.app.size.width, glyphs)])


def status_line(status: Status, width: int, glyphs: Glyphs) -> Line:
    """One line of `width` cells; a message takes the place of what changed, and of the counts where it needs the room."""
    counts = _counts(status.assessment, glyphs)
    if not status.message:
        return spread(counts, line((status.changed, "changed"), " "), width, glyphs)
    message = line((printable(status.message), "fault" if status.trouble else "text"), " ")
    fits = sum(len(text) for text, _ in (*counts, *message)) + 2 <= width
    return spread(counts, message, width, glyphs) if fits else spread(line(" ", *message), (), width, glyphs)


def _counts(assessment: Assessment | None, glyphs: Glyphs) -> Line:
    if assessment is None:
        return ()
    faults, cautions = assessment.count("fault"), assessment.count("caution")
    accepted = ((glyphs.divider, "dim"), (f"{assessment.accepted} accepted", "dim")) if assessment.accepted else ()
    return line(
        " ", (counted(faults, "fault", none="no"), "fault" if faults else "ok"),
        (glyphs.divider, "dim"), (counted(cautions, "caution", none="no"), "caution" if cautions else "text"), *accepted,
    )  # fmt: skip
