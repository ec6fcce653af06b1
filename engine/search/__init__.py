"""Searches over designs: every one a generator of steps over what-ifs."""
