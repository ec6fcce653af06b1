"""The ducts pane."""
