"""The tests, in the same folders as the code."""

from pathlib import Path

ROOT = Path(__file__).parents[1]
SAVED_DESIGNS = ROOT / "saved_designs"
