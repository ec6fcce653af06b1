"""The tests, in the same folders as the code."""

from pathlib import Path

ROOT = Path(__file__).parents[1]
SAVED_DESIGNS = ROOT / "saved_designs"
# The designs among them; the other files are stores that they name.
DEMO_FILES = tuple(path for path in sorted(SAVED_DESIGNS.glob("*.toml")) if "\n[collector]" in path.read_text("utf-8"))
STORE_FILES = tuple(path for path in sorted(SAVED_DESIGNS.glob("*.toml")) if path not in DEMO_FILES)
