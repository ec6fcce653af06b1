"""The mark of each severity of a finding, the same wherever one is shown."""

from __future__ import annotations

from collections.abc import Mapping

# By severity, and for none.
MARKS: Mapping[str, str] = {"fault": "!", "caution": "*", "note": "-", "ok": "ok"}


def verdict(worst: str) -> str:
    """ "fault", "caution" or "ok", from the worst severity there is: a note is no blemish."""
    return worst if worst in ("fault", "caution") else "ok"
