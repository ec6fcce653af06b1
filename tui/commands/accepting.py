"""The command that accepts a finding, or takes that back."""

from __future__ import annotations

from collections.abc import Sequence

from engine.checks import Finding
from tui.commands.base import Editing
from tui.work.asking import Prompt
from tui.work.edits.accepting import accept_findings, take_findings_back, why_bad_reason
from tui.work.session import Session


class AcceptFinding(Editing):
    """Accept the finding under the cursor of the results, or the one f last went to, with a reason; of an accepted one, take that back.

    It stays shown as accepted, with the reason, and counts no more.
    """

    keys = ("exclamation_mark",)
    title = "accept finding"

    def do(self, session: Session) -> None:
        """Ask about the finding that was last gone to."""
        found = session.assessment.conditions
        if session.finding is None or session.finding >= len(found):
            session.flash("no finding is chosen: f goes to the next, or choose one in the results", trouble=True)
        else:
            accept_or_take_back(session, found[session.finding].findings)


def accept_or_take_back(session: Session, findings: Sequence[Finding]) -> None:
    """Ask for the reason why findings of one code, all accepted or none, may stay; or let them count again."""
    first = findings[0]
    if first.accepted is not None:
        take_findings_back(session.document, findings)
        session.flash(f"{first.code} at {first.where} counts again")
        return

    def accepted(reason: str) -> None:
        if session.attempt(lambda: accept_findings(session.document, findings, reason)):
            session.flash(f"accepted: {first.code}; ! on it takes that back")

    session.ask(Prompt(f"accept {first.code}, because", "", accepted, why_bad_reason))
