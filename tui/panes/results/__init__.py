"""The results pane and its tabs."""
