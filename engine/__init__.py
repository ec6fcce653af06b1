"""The computation behind Kerfdraft: functions over immutable designs, free of any screen."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from engine.air.one.balance import Balance, solve
    from engine.air.one.network import compile_tree
    from engine.air.one.newton import NotConverged
    from engine.checks.assess import Assessment, assess
    from engine.design import Design
    from engine.files.design_file import DesignFileError, load, save

__all__ = ["Assessment", "Balance", "Design", "DesignFileError", "NotConverged", "assess", "compile_tree", "load", "save", "solve"]

_HOMES = {
    "Assessment": "engine.checks.assess",
    "Balance": "engine.air.one.balance",
    "Design": "engine.design",
    "DesignFileError": "engine.files.design_file",
    "NotConverged": "engine.air.one.newton",
    "assess": "engine.checks.assess",
    "compile_tree": "engine.air.one.network",
    "load": "engine.files.design_file",
    "save": "engine.files.design_file",
    "solve": "engine.air.one.balance",
}


def __getattr__(name: str) -> Any:
    """What the engine offers, imported when it is first asked for: `import engine.units` does not load the solver."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)
