"""The engine against code that others wrote: pipe-network solvers, air properties, a root finder; and a second reading of a design.

Run with `python -m pytest tests/outside`; the libraries come with the `test` extra.
"""
