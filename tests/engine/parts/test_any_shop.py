"""Parts, cuts, places and stages of random shops: nothing is forgotten, nothing stumbles, every line fits."""

from __future__ import annotations

from random import Random

import pytest

from engine.design import Design, Elbow, Gate, Hose, Straight, system
from engine.parts.cut_list import cut_list
from engine.parts.setting_out import setting_out
from engine.parts.stages import stages
from engine.parts.takeoff import take_off
from engine.report import cuts, parts
from engine.report import setting_out as places
from engine.report.stages import stages_text
from engine.space.fitted import fitted_runs
from tests.shops.random_shops import random_design

KINDS = {"straight": Straight, "elbow": Elbow, "gate": Gate, "hose": Hose}


def pieces(design: Design, kind: type) -> int:
    rows = (*(run.pieces for run in design.runs), design.collector.outlet_pieces)
    return sum(isinstance(piece, kind) for row in rows for piece in row)


@pytest.mark.parametrize("seed", range(12))
def test_every_piece_is_counted_and_every_page_fits(seed):
    design = random_design(Random(seed), plausible=seed % 2 == 0)
    found, list_ = take_off(design, kerf=0.003), cut_list(design, kerf=0.003, seconds=0.5)
    wanted = {kind: pieces(design, cls) for kind, cls in KINDS.items()}
    wanted["straight"] -= sum(pipe.seen <= 0 for run in fitted_runs(design).values() for pipe in run.pipes.values())
    assert {kind: sum(item.count for item in found.items if item.kind == kind) for kind in KINDS} == wanted
    cut = sum(cut.length for one in list_.cuttings.values() for stick in one.sticks for cut in stick.cuts)
    seen = sum(item.length or 0.0 for item in found.items if item.kind == "straight")
    assert cut >= seen - 0.0005 * pieces(design, Straight)
    texts = (
        parts.as_text(design, found),
        stages_text(design, 100.0, stages(design, 100.0)),
        cuts.as_text(design.name, list_.cuttings, system(design), keep=0.3, notes=list_.doubts),
        places.as_text(design, setting_out(design)),
    )
    assert max(len(line) for text in texts for line in text.splitlines()) <= 80
