"""Panes: the framed views that pages are made of."""
