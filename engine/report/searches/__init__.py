"""Searches as text and JSON."""
