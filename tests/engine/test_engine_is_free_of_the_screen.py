"""The engine never reaches for the screen: each module is imported in a process of its own."""

from __future__ import annotations

import pkgutil
import subprocess
import sys

import engine


def test_no_engine_module_imports_the_screen():
    names = sorted(module.name for module in pkgutil.walk_packages(engine.__path__, "engine."))
    assert "engine.checks.assess" in names
    code = (
        "import importlib, sys\n"
        f"for name in {names!r}:\n"
        "    importlib.import_module(name)\n"
        "    bad = {'textual', 'rich', 'tui'} & {m.split('.')[0] for m in sys.modules}\n"
        "    assert not bad, (name, bad)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
