"""Edits where the selection stands."""
