"""The command that accepts a finding, or takes that back."""

from __future__ import annotations

from collections.abc import Sequence

from engine.checks import Finding
from engine.checks.conditions import Condition
from tui.commands.base import Editing
from tui.work.asking import Choice, Prompt
from tui.work.edits.accepting import accept_findings, take_findings_back, why_bad_reason
from tui.work.findings import is_about
from tui.work.session import Session


class AcceptFinding(Editing):
    """Accept, with a reason, the finding under the cursor of the results, or one about what is selected; of an accepted one, take that back.

    It stays shown as accepted, with the reason, and counts no more.
    """

    keys = ("exclamation_mark",)
    title = "accept finding"

    def do(self, session: Session) -> None:
        """Ask about the finding that f last went to, while that is what is selected, else about the only one, or one of those, that are about it."""
        found = [condition for condition in session.assessment.conditions if _is_here(session, condition)]
        found = [condition for condition in found if condition.key == session.finding] or found
        if not found:
            session.flash("no finding is about what is selected: f goes to the next, or choose one in the results", trouble=True)
        elif len(found) == 1:
            accept_or_take_back(session, found[0].findings)
        else:
            choices = [Choice(condition.text, condition.findings, condition.standing) for condition in found]
            session.choose("which finding", choices, lambda chosen: accept_or_take_back(session, chosen))


def _is_here(session: Session, condition: Condition) -> bool:
    """Whether a condition shows in what is selected, with the gates that are shown."""
    document = session.document
    here = [one for one in condition.findings if one.gate_set in (None, document.gate_set.name)]
    return any(is_about(document.design, one, document.selection) for one in here)


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
