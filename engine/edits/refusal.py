"""What an edit raises that cannot be done."""

from __future__ import annotations


class EditError(ValueError):
    """An edit that cannot be done; the reason in one line."""
