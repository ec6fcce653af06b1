"""A list to choose from, filtered by what is typed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import groupby
from pathlib import Path
from typing import Any, ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.types import CSSPathType
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from engine.units.printable import printable
from tui.commands.look import StepOut
from tui.pages.frame.frame import FRAME_CSS, FrameScreen
from tui.work.asking import Choice

_MOVES = {
    "up": "cursor_up", "down": "cursor_down", "pageup": "page_up", "pagedown": "page_down", "home": "first", "end": "last",
}  # fmt: skip


class Typed(Input):
    """The filter; keys that move go to the list."""

    key_entries = (("Up Down", "move"), ("Enter", "choose"), ("Esc", "back"))

    def on_key(self, event: events.Key) -> None:
        """Let the list have what moves."""
        if event.key in ("up", "down", "pageup", "pagedown"):
            getattr(self.screen.query_one(OptionList), f"action_{_MOVES[event.key]}")()
            event.stop()
            event.prevent_default()


class Listed(OptionList):
    """The list."""

    BINDINGS: ClassVar[list[BindingType]] = [("j", "cursor_down"), ("k", "cursor_up"), ("g", "first"), ("G", "last")]
    key_entries = (("Up Down", "move"), ("Enter", "choose"))


class ChooseScreen(FrameScreen):
    """Choose one of several; the first match stands ready for Enter."""

    CSS_PATH: ClassVar[CSSPathType | None] = [FRAME_CSS, Path(__file__).with_name("choose.tcss")]
    typing = True

    def __init__(self, title: str, choices: Sequence[Choice], chosen: Callable[[Any], object]) -> None:
        super().__init__()
        self.page_title = title
        self._all = tuple(map(_printable, choices))
        self._chosen = chosen

    def compose_body(self) -> ComposeResult:
        """The filter, the list, and what is said of the row under the cursor."""
        if self.typing:
            typed = Typed(compact=True, placeholder="type to filter", id="typed")
            typed.cursor_blink = False
            yield typed
        yield Listed(*self._options(self._all), markup=False, id="listed")
        about = Static(id="about", markup=False)
        about.display = any(choice.about for choice in self._all)
        yield about

    def on_mount(self) -> None:
        """Start on the first row."""
        self.query_one("#typed" if self.typing else "#listed").focus()
        self.query_one(Listed).action_first()

    @on(OptionList.OptionHighlighted)
    def tell_about(self, event: OptionList.OptionHighlighted) -> None:
        """Say more of the row under the cursor."""
        event.stop()
        self.query_one("#about", Static).update(self._choice_of(event.option).about)

    @on(Input.Changed, "#typed")
    def filter(self, event: Input.Changed) -> None:
        """Keep the rows that hold every word typed, those that begin so first."""
        event.stop()
        listed = self.query_one(Listed)
        listed.set_options(
            self._options(matching(self._all, event.value)) or [Option(f"nothing has {event.value.strip()!r} in its name", disabled=True)]
        )
        listed.action_first()
        if listed.highlighted is None:
            self.query_one("#about", Static).update("")

    @on(Input.Submitted, "#typed")
    def accept(self, event: Input.Submitted) -> None:
        """Choose the highlighted row."""
        event.stop()
        self.query_one(Listed).action_select()

    @on(OptionList.OptionSelected)
    def choose(self, event: OptionList.OptionSelected) -> None:
        """Hand over what was chosen and go back."""
        event.stop()
        self.leave_with(self._choice_of(event.option).value)

    def leave_with(self, value: Any) -> None:
        """Go back and hand a value over, once."""
        if self.in_front:
            self.dismiss()
            self.app.call_later(self._chosen, value)

    def _choice_of(self, option: Option) -> Choice:
        assert option.id is not None  # what has none, such as the name of a group, is disabled
        return self._all[int(option.id)]

    def _options(self, choices: Sequence[Choice]) -> list[Option]:
        """Rows that know their choice, whatever the filter has become when one is chosen."""
        index = {id(choice): str(i) for i, choice in enumerate(self._all)}
        options: list[Option] = []
        for group, members in groupby(choices, key=lambda choice: choice.group):
            options += [Option(Content.styled(group, "bold"), disabled=True)] if group else []
            options += [Option(_shown(choice), id=index[id(choice)]) for choice in members]
        return options

    @on(StepOut)
    def leave(self, command: StepOut) -> None:
        """Go back to the screen before."""
        command.stop()
        self.dismiss()


def matching(choices: Sequence[Choice], typed: str) -> tuple[Choice, ...]:
    """The choices that hold every word typed, in their order, those of a group that begin with it first."""
    words, groups = typed.lower().split(), list(dict.fromkeys(choice.group for choice in choices))
    found = [choice for choice in choices if all(word in f"{choice.text} {choice.remark} {choice.also}".lower() for word in words)]
    return tuple(sorted(found, key=lambda choice: (groups.index(choice.group), not choice.text.lower().startswith(typed.lower().strip()))))


def _printable(choice: Choice) -> Choice:
    """A choice whose words are safe to show: this list is not drawn by the panes."""
    about = "\n".join(map(printable, choice.about.split("\n")))
    return replace(choice, text=printable(choice.text), remark=printable(choice.remark), about=about, group=printable(choice.group))


def _shown(choice: Choice) -> Content:
    return Content.assemble(choice.text, Content.styled(f"  {choice.remark}", "dim") if choice.remark else "")
