"""Placement studies of the saved designs: processor time to the first spot and to the last.

Run `python -m tests.bench.placement`.
"""

from __future__ import annotations

from time import process_time

from engine import load
from engine.search.layouts.proposing import drafts
from engine.search.placement import placements
from tests import DEMO_FILES


def main() -> None:
    """Print the table."""
    print("design".ljust(30), *(title.rjust(11) for title in ("machines", "spots", "drafts s", "first s", "all s")))
    for path in DEMO_FILES:
        design = load(path)
        begun = process_time()
        list(drafts(design))
        drafted = process_time() - begun
        begun, first = process_time(), 0.0
        for study in placements(design):
            first = first or process_time() - begun
        cells = (len(design.machines), study.of, f"{drafted:.2f}", f"{first:.2f}", f"{process_time() - begun:.1f}")
        print(path.stem.ljust(30), *(str(cell).rjust(11) for cell in cells))


if __name__ == "__main__":
    main()
