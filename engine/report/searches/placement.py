"""A placement study as plain text that fits 80 columns, with a map of the floor, and as JSON in SI base units."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from typing import Any

from engine.design import Design, system
from engine.report.pen import WIDTH, headed, json_text, numbered, standing_json, wrapped
from engine.search.floor import Middle
from engine.search.placement import Grid, Spot, Study, order
from engine.search.proposals import Proposal, standing_in_words
from engine.search.ranking import IN_WORDS
from engine.space.geometry import port_places
from engine.units import number_text, show, unit_name
from engine.units.words import rough_length

_FIFTHS = "abcde"
_LABEL = 7
_MACHINE, _TODAY, _BARRED = "m", "T", "."


def as_text(design: Design, study: Study) -> str:
    """The map, the best spots with their reasons, today's spot and the two middles."""
    return "\n".join(_lines(design, study))


def _lines(design: Design, study: Study) -> Iterator[str]:
    units = system(design)
    yield from headed(design)
    yield from ("", f"Where the collector could stand, from above, north up, in {unit_name('length', units)}:", "")
    yield from map_of(design, study)
    yield ""
    yield from wrapped(f"{_LEGEND} {IN_WORDS} Of equals, the one of less duct.")
    yield ""
    for number, one in enumerate(study.proposals, 1):
        yield from numbered(number, one)
    if study.today:
        length = rough_length(study.today.length, units)
        yield from wrapped(f"Today's spot, drafted alike: {standing_in_words(study.today.standing)}; {length} of duct")
    yield ""
    crow, along = "as the crow flies", "along the walls"
    for title, straight, square in (
        ("Least total way to the machines", study.total, study.total_along), ("Least longest way", study.longest, study.longest_along),
    ):  # fmt: skip
        yield from wrapped(f"{title}: {crow} from {_middle(straight, units)}; {along} from {_middle(square, units)}.")


_LEGEND = "a to e: from the best fifth of the spots to the worst; 1 to 3 the best; T today; m machine; . no room for it."


def _middle(middle: Middle, units: str) -> str:
    east, north, way = (show(value, "length", units, digits=1) for value in (*middle.at, middle.way))
    return f"{east} east and {north} north, {way}"


# ---- the map


def map_of(design: Design, study: Study) -> list[str]:
    """The grid in rows from north to south, each with its distance north; a row of distances east below. At most 80 columns."""
    grid, units = study.grid, system(design)
    cells = cells_of(design, study)
    step = max(1, -(-len(grid.easts) // (WIDTH - _LABEL)))
    wide = min(4, (WIDTH - _LABEL) // -(-len(grid.easts) // step))
    rows = []
    for north, row in sorted(zip(grid.norths, cells, strict=True), reverse=True):
        rows.append(f"{_number(north, units):>{_LABEL - 1}} " + "".join(f"{cell:>{wide}}" for cell in row[::step]))
    return [*(row.rstrip() for row in rows), _scale(grid.easts[::step], wide, units)]


def cells_of(design: Design, study: Study) -> list[list[str]]:
    """One letter for each spot of the grid, by rows from south to north."""
    grid = study.grid
    ranked = sorted(grid.tried, key=order)
    fifth = {spot: _FIFTHS[len(_FIFTHS) * place // len(ranked)] for place, spot in enumerate(ranked)}
    rows = (zip(spots, free, strict=True) for spots, free in zip(grid.spots, grid.free, strict=True))
    cells = [[fifth[spot] if spot else " " if free else _BARRED for spot, free in row] for row in rows]
    marks = [(_MACHINE, at[:2]) for at in port_places(design).values()]
    marks += [(_TODAY, (study.today.east, study.today.north))] if study.today else []
    marks += [(str(number), spot) for number, spot in reversed(list(enumerate(map(_spot_of, study.proposals), 1)))]
    for mark, spot in marks:
        i, j = _nearest(grid.norths, spot[1]), _nearest(grid.easts, spot[0])
        if mark != _MACHINE or cells[i][j] == _BARRED:
            cells[i][j] = mark
    return cells


def _nearest(places: Sequence[float], to: float) -> int:
    """The index of the place that is nearest."""
    return min(range(len(places)), key=lambda index: abs(places[index] - to))


def _spot_of(proposal: Proposal) -> tuple[float, float]:
    """East and north, m, of a proposed collector; whoever proposes one has placed it."""
    east, north = proposal.design.collector.east, proposal.design.collector.north
    assert east is not None
    assert north is not None
    return east.si, north.si


def _scale(easts: Sequence[float], wide: int, units: str) -> str:
    line = " " * (_LABEL + wide * len(easts))
    for i, east in enumerate(easts):
        text = _number(east, units)
        end = _LABEL + wide * (i + 1)
        if not line[max(end - len(text) - 1, 0) : end].strip() and end >= len(text):
            line = line[: end - len(text)] + text + line[end:]
    return line.rstrip()


def _number(length: float, units: str) -> str:
    return number_text(length, "length", units, digits=1)


# ---- as JSON


def as_json(design: Design, study: Study) -> str:
    """Every spot with its figures, and the best with their reasons, as JSON text."""
    return json_text(
        design,
        grid=_grid_json(study.grid),
        best=[_best_json(one) for one in study.proposals],
        today=asdict(study.today) if study.today else None,
        least_total=asdict(study.total),
        least_total_along_walls=asdict(study.total_along),
        least_longest=asdict(study.longest),
        least_longest_along_walls=asdict(study.longest_along),
    )


def _best_json(one: Proposal) -> dict[str, Any]:
    east, north = _spot_of(one)
    faces, standing = one.design.collector.faces, standing_json(one.standing)
    return {"title": one.title, "reason": one.reason, "east": east, "north": north, "faces": faces, "standing": standing}


def _grid_json(grid: Grid) -> dict[str, Any]:
    spots: list[Spot] = sorted(grid.tried, key=order)
    return {"easts": grid.easts, "norths": grid.norths, "free": grid.free, "spots": [asdict(spot) for spot in spots]}
