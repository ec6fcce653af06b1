"""Every combination of machines at once, and which may work together."""
