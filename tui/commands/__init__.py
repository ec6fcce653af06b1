"""One class per command. Bindings, the key line, the palette and help are all made from these.

To add a command is to write its class in one of the files here.
"""

from __future__ import annotations

from types import ModuleType

from tui.commands import accepting, edit, files, look, pages, search
from tui.commands.base import Command


def _listed() -> tuple[type[Command], ...]:
    """Every command, as the key line has them: the likeliest, the others file by file, and those that always stay."""
    others = [command for module in (search, edit, accepting, pages, files, look) for command in _defined_in(module)]
    return (*LIKELIEST, *(command for command in others if command not in LIKELIEST + ALWAYS), *ALWAYS)


def _defined_in(module: ModuleType) -> list[type[Command]]:
    """The commands of a file, in its order; what they have in common has no title."""
    classes = [thing for thing in vars(module).values() if isinstance(thing, type) and thing.__module__ == module.__name__]
    return [thing for thing in classes if issubclass(thing, Command) and thing.title]


# Next likely first: the key line drops from the end, but never help and quit.
LIKELIEST: tuple[type[Command], ...] = (
    edit.EditValue, edit.AddPiece, edit.Branch, edit.Delete, edit.Undo, look.NextGateSet, look.NextFinding, pages.JobPage, edit.InsertPiece,
    files.Save, edit.Redo, look.Enlarge, look.Filter, edit.Duplicate, edit.MoveUp, edit.MoveDown, edit.LargerSize, edit.SmallerSize, edit.Rename,
    pages.PlanPage, search.TogetherPage,
)  # fmt: skip
ALWAYS: tuple[type[Command], ...] = (pages.Help, files.Quit)
WORKBENCH = _listed()
PAGE: tuple[type[Command], ...] = (look.StepOut, *ALWAYS)
BY_NAME: dict[str, type[Command]] = {command.__name__: command for command in WORKBENCH}
