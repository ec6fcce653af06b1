"""What the ducts pane calls the parts of a run."""

from __future__ import annotations

from engine.design import Cleanout, Elbow, Gate, Hose, OwnLoss, Piece, Run, Straight, defaults, joins_as
from engine.units import show


def piece_label(piece: Piece, units: str) -> str:
    """A piece in a few words."""
    match piece:
        case Straight():
            return f"straight {show(piece.length.si, 'length', units)}"
        case Elbow():
            return f"elbow {show(piece.angle.si, 'angle', units)}" + (f" {piece.toward}" if piece.toward else "")
        case Hose():
            bend = f" bend {show(piece.bend.si, 'angle', units)}" if piece.bend and piece.bend.si else ""
            return f"hose {show(piece.length.si, 'length', units)}{bend}"
        case Gate():
            return f"gate {piece.name}"
        case Cleanout():
            return f"cleanout {piece.name}"
        case OwnLoss():
            return f"{piece.name or 'own loss'} {piece.loss:g}"
    raise TypeError(f"no such piece: {piece!r}")


def with_state(label: str, state: str, before: str = defaults.STATE) -> str:
    """A label with how far the work has come, where it is farther than `before`."""
    return label if state == before else f"{label} ({state})"


def joint_label(run: Run, units: str) -> str:
    """How a run joins, in a few words."""
    angle = show(run.angle.si, "angle", units) if run.angle else defaults.BRANCH_ANGLE.text
    return f"{joins_as(run)} {angle}" + (f" {run.toward}" if run.toward else "")
