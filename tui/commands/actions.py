"""What each command does to the session. The commands of the panes themselves are handled by the panes."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from engine.design.places import ROOM
from tui import commands
from tui.commands import Command
from tui.pages.frame.question_line import Prompt, Question
from tui.work import editing
from tui.work.additions import Addition, Offer, additions
from tui.work.findings import place_of

if TYPE_CHECKING:
    from tui.app import KerfdraftApp

Action = Callable[["KerfdraftApp"], None]
ACTIONS: dict[type[Command], Action] = {}


def does(command: type[Command]) -> Callable[[Action], Action]:
    """Say which command a function carries out."""

    def note(action: Action) -> Action:
        ACTIONS[command] = action
        return action

    return note


# Changing the design


@does(commands.AddPiece)
def add(app: KerfdraftApp) -> None:
    """Ask what to add after the selection."""
    _ask_addition(app, "add", additions(app.document))


@does(commands.InsertPiece)
def insert(app: KerfdraftApp) -> None:
    """Ask what to insert before the selection."""
    _ask_addition(app, "insert", additions(app.document, before=True))


def _ask_addition(app: KerfdraftApp, verb: str, offered: tuple[Addition, ...]) -> None:
    by_key = {addition.key: addition for addition in offered}
    if len(offered) == 1:
        _ask_offer(app, offered[0])
    else:
        choices = tuple((addition.key, addition.label) for addition in offered)
        app.ask(Question(f"{verb}:", lambda key: app.attempt(lambda: _ask_offer(app, by_key[key])), choices))


def _ask_offer(app: KerfdraftApp, addition: Addition) -> None:
    """Add the one thing there is to add, or let it be chosen from a list."""

    def add_one(offer: Offer) -> None:
        if app.attempt(lambda: editing.add(app.document, addition.place, offer)) and offer.caution:
            app.flash(offer.caution)

    if len(addition.offers) == 1:
        add_one(addition.offers[0])
        return
    from tui.pages.choose import Choice, ChooseScreen

    choices = [Choice(offer.name, offer, offer.remark, offer.about, offer.group) for offer in addition.offers]
    app.push_screen(ChooseScreen(addition.label, choices, add_one))


@does(commands.Branch)
def branch(app: KerfdraftApp) -> None:
    """Branch off at the selection."""
    editing.branch(app.document)


@does(commands.Delete)
def delete(app: KerfdraftApp) -> None:
    """Delete the selection, asking when more goes with it."""

    def delete_it() -> None:
        if said := editing.delete(app.document):
            app.flash(f"{said}; u takes it back")

    warning = editing.deletion_warning(app.document)
    if warning is None:
        delete_it()
        return
    app.ask(Question(warning, lambda key: app.attempt(delete_it) if key == "y" else None))


@does(commands.Duplicate)
def duplicate(app: KerfdraftApp) -> None:
    """Copy the selection."""
    editing.duplicate(app.document)


@does(commands.MoveUp)
def move_up(app: KerfdraftApp) -> None:
    """Move the selection up."""
    editing.move(app.document, -1)


@does(commands.MoveDown)
def move_down(app: KerfdraftApp) -> None:
    """Move the selection down."""
    editing.move(app.document, +1)


@does(commands.Rename)
def rename(app: KerfdraftApp) -> None:
    """Ask for another name of the selection."""
    old = editing.name_of(app.document)
    app.ask(
        Prompt(
            "name", old, lambda text: app.attempt(lambda: editing.rename(app.document, text)),
            check=lambda text: editing.why_bad_name(app.document, text),
        )
    )  # fmt: skip


@does(commands.Undo)
def undo(app: KerfdraftApp) -> None:
    """Take a step back."""
    if step := app.document.undo():
        app.flash(f"undone: {step.name}")


@does(commands.Redo)
def redo(app: KerfdraftApp) -> None:
    """Bring a step back."""
    if step := app.document.redo():
        app.flash(f"done again: {step.name}")


@does(commands.FilterState)
def next_filter_state(app: KerfdraftApp) -> None:
    """Take the next state of the filter; the title row says which."""
    editing.next_filter_state(app.document)


@does(commands.SwitchUnits)
def switch_units(app: KerfdraftApp) -> None:
    """Show the other units, and say why the design then counts as changed."""
    app.document.switch_units()
    app.flash(f"{app.document.system} units, kept in the file; u takes it back")


@does(commands.Revert)
def revert(app: KerfdraftApp) -> None:
    """Go back to what is saved."""
    app.document.revert()


# Looking


@does(commands.NextGateSet)
def next_gate_set(app: KerfdraftApp) -> None:
    """Show the next gate set."""
    app.document.show_gate_set(app.document.gate_set_index + 1)


@does(commands.PreviousGateSet)
def previous_gate_set(app: KerfdraftApp) -> None:
    """Show the gate set before."""
    app.document.show_gate_set(app.document.gate_set_index - 1)


@does(commands.NextFinding)
def next_finding(app: KerfdraftApp) -> None:
    """Go to the next finding."""
    _go_to_finding(app, +1)


@does(commands.PreviousFinding)
def previous_finding(app: KerfdraftApp) -> None:
    """Go to the finding before."""
    _go_to_finding(app, -1)


def _go_to_finding(app: KerfdraftApp, by: int) -> None:
    found = app.assessment.findings if app.assessment else ()
    if not found:
        app.flash("no findings")
        return
    app.finding = (app.finding + by) % len(found) if app.finding is not None else (0 if by > 0 else len(found) - 1)
    finding = found[app.finding]
    names = [gate_set.name for gate_set in app.document.gate_sets]
    if finding.gate_set in names:
        app.document.show_gate_set(names.index(finding.gate_set))
    if place := place_of(app.document.design, finding):
        app.document.select(place)
    app.flash(f"{app.finding + 1}/{len(found)} {finding.severity}: {finding.where}: {finding.message}", trouble=finding.severity == "fault")


@does(commands.Help)
def show_help(app: KerfdraftApp) -> None:
    """Open help for what has the focus."""
    from tui.pages.help import HelpScreen

    app.push_screen(HelpScreen(app.screen))


@does(commands.Palette)
def show_palette(app: KerfdraftApp) -> None:
    """Open the palette; what is chosen there is sent as its key would send it."""
    from tui.pages.palette import PaletteScreen

    asked_from = app.screen
    app.push_screen(PaletteScreen(asked_from, lambda name: app.call_after_refresh(asked_from.action_command, name)))


@does(commands.SafetyPage)
def show_cautions(app: KerfdraftApp) -> None:
    """Open the health and safety page."""
    from tui.pages.cautions import CautionsScreen

    app.push_screen(CautionsScreen(app.document.design))


@does(commands.PlanPage)
def show_plan(app: KerfdraftApp) -> None:
    """Open the plan."""
    from tui.pages.plan import PlanScreen

    app.push_screen(PlanScreen())


@does(commands.BoresPage)
def show_bores(app: KerfdraftApp) -> None:
    """Open the page of stocked bores."""
    from tui.pages.searches.bores import BoresScreen

    app.push_screen(BoresScreen(app.assessment, app.document.selected_run.id))


@does(commands.GoToRoom)
def go_to_room(app: KerfdraftApp) -> None:
    """Select the walls."""
    app.document.select(ROOM)
    app.flash("the room: a draws its walls, or adds a door, a post, a place to keep clear")


@does(commands.TogetherPage)
def show_together(app: KerfdraftApp) -> None:
    """Open the page of every set of machines."""
    from tui.pages.searches.together import TogetherScreen

    app.push_screen(TogetherScreen())


@does(commands.StepOut)
def step_out(app: KerfdraftApp) -> None:
    """Nothing lies further out."""
    app.flash("q quits, ? helps")


def carry_out(app: KerfdraftApp, command: Command) -> None:
    """Carry a command out; what is refused is said in the status row."""
    action = ACTIONS.get(type(command))
    if action is None:
        return
    if why := command.why_not(app.document):  # a key that came just before may have changed what this one was meant for
        app.flash(why, trouble=True)
    else:
        app.attempt(lambda: action(app))
