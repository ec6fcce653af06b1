"""A new design as an interview."""
