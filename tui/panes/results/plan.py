"""The results tab "plan", where the terminal is wide: the ducts in their room, as the plan page shows them."""

from __future__ import annotations

from engine.units.printable import printable
from tui.draw.lines import line, wrapped_to
from tui.panes.item import Item
from tui.panes.plan import sheet
from tui.panes.plan.scene import scene_of
from tui.panes.results.view import View


def items(view: View) -> list[Item]:
    """The sheet, its scale, and what has no place."""
    scene = scene_of(view.assessment, view.result)
    remarks = wrapped_to(printable("; ".join(scene.remarks)), view.width, 3, view.glyphs, "caution") if scene.remarks else []
    shown = sheet.sights(sheet.Camera(), scene, view.width, max(view.height - 1 - len(remarks), 3), view.units)
    scale = line((sheet.scale_note(shown[0].column, view.units, view.glyphs, view.width), "dim"))
    return [Item((*sheet.sheet(scene, shown, view.glyphs, view.place), scale, *remarks))]
