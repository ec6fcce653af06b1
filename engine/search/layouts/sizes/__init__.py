"""The bores that a layout is given."""
