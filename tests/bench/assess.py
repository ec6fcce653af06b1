"""Assessment of whole designs: every gate set solved and all findings.

Run `python -m tests.bench.assess`. Times the saved designs and a generated one
of 12 machines in 12 gate sets, with flow-ratio joints.
"""

from __future__ import annotations

from engine import load
from engine.checks.assess import assess
from tests import DEMO_FILES, SAVED_DESIGNS
from tests.bench.clock import milliseconds, seconds
from tests.outside import designs

SAVED = SAVED_DESIGNS


def main() -> None:
    """Print the table."""
    cases = {path.stem: load(path) for path in DEMO_FILES}
    cases["12 machines x 12 gate sets"] = designs.workshop(12, fixed=False, gate_sets=12)
    print("design".ljust(30), *(title.rjust(10) for title in ("runs", "gate sets", "findings", "ms")))
    for name, design in cases.items():
        found = assess(design)
        cells = (len(design.runs), len(found.sets), len(found.findings), milliseconds(seconds(lambda: assess(design))))
        print(name.ljust(30), *(str(cell).rjust(10) for cell in cells))


if __name__ == "__main__":
    main()
