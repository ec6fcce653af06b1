"""Cuts as plain text that fits 80 columns, every stick drawn as a bar, and as JSON in m."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from engine.design import Design
from engine.parts.cutting import CutStick, Cutting
from engine.parts.tape import tape_text
from engine.report.pen import PAGE, json_text, paged
from engine.units.words import counted, percent

_LEFT = 6
_RIGHT = 22


def as_text(title: str, cuttings: Mapping[str, Cutting], units: str, *, keep: float, notes: Iterable[str] = ()) -> str:
    """The sticks of every size as bars; what is left of one is kept from `keep` m on. `notes` are said at the end."""
    lines = [*paged(title)]
    for size, found in cuttings.items():
        lines += ["", *_size_lines(size, found, units, keep)]
    if any(found.sticks for found in cuttings.values()):
        lines += ["", *paged("Measure every length at its place before it is cut; of several cuts the longest comes first.")]
    for note in notes:
        lines += paged(f"- {note}")
    return "\n".join(lines)


def _size_lines(size: str, found: Cutting, units: str, keep: float) -> Iterator[str]:
    cuts = sum(len(one.cuts) for one in found.sticks)
    yield from paged(f"{f'{size}: ' if size else ''}{counted(cuts, 'cut')} from {bought_text(found, units)}; {proof_text(found, units)}")
    scale = max((one.stick.length for one in found.sticks), default=1.0)
    for number, (one, times) in enumerate(alike(found.sticks), 1):
        yield from _stick_lines(f"{number}" if times == 1 else f"{times} x", one, units, scale, keep)
    waste = sum(one.left for one in found.sticks if one.left < keep)
    kept = sum(one.left for one in found.sticks if one.left >= keep)
    whole = sum(one.stick.length for one in found.sticks) or 1.0
    yield f"{'':{_LEFT}}offcuts to keep {tape_text(kept, units)}, waste {tape_text(waste, units)} ({percent(waste / whole)} %) and the kerfs"


def bought_text(found: Cutting, units: str) -> str:
    """ "3 sticks of 3000 mm and 1 offcut of 800 mm"."""
    kinds: dict[tuple[bool, float], int] = {}
    for one in found.sticks:
        kind = one.stick.in_hand, one.stick.length
        kinds[kind] = kinds.get(kind, 0) + 1
    parts = [f"{counted(count, 'offcut' if in_hand else 'stick')} of {tape_text(length, units)}" for (in_hand, length), count in kinds.items()]
    return " and ".join(parts) or "nothing"


def proof_text(found: Cutting, units: str) -> str:
    """How few it is, and whether that is proven."""
    match found.least:
        case "sticks":
            least, best = f"{found.bound:g}", "the fewest there can be"
        case "length":
            least, best = tape_text(found.bound, units), f"{tape_text(found.total, units)} in all, the least length there can be"
        case _:
            least, best = f"{found.bound:.2f}", f"for {found.total:.2f}, the lowest price there can be"
    if found.proven:
        return f"{best} (proven)"
    total = {"sticks": f"{found.total:g}", "length": tape_text(found.total, units)}.get(found.least, f"{found.total:.2f}")
    return f"{total} {'sticks' if found.least == 'sticks' else 'in all'}, not proven: no way needs less than {least}"


def alike(sticks: Sequence[CutStick]) -> list[tuple[CutStick, int]]:
    """Sticks with how many there are, those of the same cuts by name counted together."""
    found: dict[tuple[float, tuple[str, ...]], tuple[CutStick, int]] = {}
    for one in sticks:
        key = one.stick.length, tuple(cut.name for cut in one.cuts)
        found[key] = one, found.get(key, (one, 0))[1] + 1
    return list(found.values())


def _stick_lines(number: str, one: CutStick, units: str, scale: float, keep: float) -> Iterator[str]:
    """A stick as a bar to scale, and its cuts below it."""
    cells = PAGE - _LEFT - _RIGHT
    bar, at = ["|"], 0.0
    for cut in one.cuts:
        at += cut.length
        bar.append("=" * max(1, round(at / scale * cells) - sum(map(len, bar))) + "|")
    whole = round(one.stick.length / scale * cells)
    rest = "." * max(0, whole - sum(map(len, bar)) - 1)
    end = f"{rest}|" if rest else ""
    left = f"  {'keep' if one.left >= keep else 'waste'} {tape_text(one.left, units)}" if one.left else ""
    yield f"{number:>{_LEFT - 2}}  {''.join(bar)}{end}{left}"
    named = ", ".join(_cut_text(cut.name, cut.length, units) for cut in one.cuts)
    yield from paged(named, " " * _LEFT)


def _cut_text(name: str, length: float, units: str) -> str:
    """A cut's name with its length, unless it is called by that."""
    shown = tape_text(length, units)
    return f"{name}: {shown}" if " / " in name else name


def as_json(design: Design | None, cuttings: Mapping[str, Cutting], doubts: Iterable[str] = ()) -> str:
    """The sticks of every size as JSON text, lengths in m; `bound` is what no cutting is below, in what `least` names."""
    return json_text(design, stocks=[{"size": size, **_cutting_json(found)} for size, found in cuttings.items()], doubts=list(doubts))


def _cutting_json(found: Cutting) -> dict[str, Any]:
    sticks = [
        {
            "stick": round(one.stick.length, 7),
            "in_hand": one.stick.in_hand,
            "cuts": [{"cut": cut.name, "length": round(cut.length, 7)} for cut in one.cuts],
            "left": round(one.left, 7),
        }
        for one in found.sticks
    ]
    bound = int(found.bound) if found.least == "sticks" else found.bound
    return {"sticks": sticks, "least": found.least, "total": found.total, "proven": found.proven, "bound": bound}
