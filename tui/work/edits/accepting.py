"""Findings accepted as they are, and taken back, as steps of the work."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from engine.checks import Finding
from engine.edits.acceptance import accept, take_back
from engine.edits.refusal import EditError
from tui.work.document import Document, Refused


def why_bad_reason(text: str) -> str | None:
    """Why a text is no reason to accept a finding."""
    return None if text.strip() else "say why it may stay, or leave it with Esc"


def accept_findings(document: Document, findings: Sequence[Finding], reason: str) -> None:
    """Accept findings of one code for a reason. Raises Refused."""
    try:
        design = accept(document.design, [(one.code, one.place) for one in findings], reason.strip(), date.today())
    except EditError as error:
        raise Refused(str(error)) from None
    document.apply(f"accept {findings[0].code}", design)


def take_findings_back(document: Document, findings: Sequence[Finding]) -> None:
    """Let findings count again."""
    document.apply(f"take back {findings[0].code}", take_back(document.design, [(one.code, one.place) for one in findings]))
