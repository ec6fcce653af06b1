"""What a start loads: what is slow to load comes when it is wanted, not before."""

from __future__ import annotations

import os
import subprocess
import sys

from tests import ROOT

_SLOW = {"numpy", "scipy", "fluids", "pint", "jinja2"}
# What the standard library takes long to load, and a command hardly wants.
_HARDLY_WANTED = {"json", "secrets", "difflib", "unicodedata", "asyncio", "textual", "rich"}


def loaded(code: str) -> set[str]:
    """The packages that a new Python has loaded at the end of some code, whose standard output is left aside."""
    code = f"import sys\n{code}\nprint(*{{name.partition('.')[0] for name in sys.modules}}, file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=os.environ | {"PYTHONPATH": str(ROOT)})
    return set(done.stderr.split())


def test_the_first_screen_does_without_what_only_results_need():
    assert not loaded("import tui.run, tui.app, tui.pages.workbench") & _SLOW


def test_a_check_does_without_what_only_searches_and_the_session_need():
    code = f"from tui.command_line import main; main(['check', {str(ROOT / 'saved_designs' / 'boat_shed.toml')!r}])"
    loaded(code)  # what pint says of units is known from the first run on
    assert not loaded(code) & (_SLOW | _HARDLY_WANTED)
