"""The piece pane."""
