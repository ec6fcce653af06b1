"""The shop of two machines with a room around it, every thing in its place. Invented data."""

from __future__ import annotations

from tests.shops import two_drops

_ROOM = """[site]
height = "2.6 m"
room = [{ east = "0 m", north = "0 m" }, { east = "5 m", north = "0 m" }, { east = "5 m", north = "4 m" }, { east = "0 m", north = "4 m" }]

[[site.zone]]
name = "post"
kind = "post"
west = "1.5 m"
east = "1.7 m"
south = "3 m"
north = "3.2 m"

[[site.zone]]
name = "street door"
kind = "door"
west = "0.4 m"
east = "1.4 m"
south = "0 m"
north = "0.9 m"
top = "2.1 m"

[[site.zone]]
name = "way through"
kind = "keep clear"
west = "0.3 m"
east = "1.2 m"
south = "1 m"
north = "2 m"
top = "2 m"

"""
TEXT = (
    two_drops.TEXT.replace("[collector]\n", _ROOM + '[collector]\neast = "4 m"\nnorth = "1 m"\nup = "2 m"\nfaces = "north"\n')
    .replace('id = "planer"\n', 'id = "planer"\neast = "2.95 m"\nnorth = "3.3 m"\nup = "1.7 m"\n')
    .replace('id = "lathe"\n', 'id = "lathe"\neast = "0.54 m"\nnorth = "2.44 m"\nup = "2 m"\n')
)
