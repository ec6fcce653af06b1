"""What a change does, in words."""

from __future__ import annotations

from collections.abc import Iterator

from engine.checks import Severity
from engine.parts.price import in_currency
from engine.search.findings import matter
from engine.search.remedies.effect import Effect
from engine.units.words import counted, listed, share_text, shares_beside

_MOST_NAMED = 2


def in_words(effect: Effect) -> list[str]:
    """What a change does, the share of the neediest machine first."""
    said: list[str] = []
    before, after = effect.before, effect.after
    if before.share is None:
        said.append("every gate set then has an answer" if after.share is not None else "")
    elif effect.share is not None and abs(effect.share - before.share) >= 0.0005:
        said.append(f"{before.port} in {before.gate_set}: {' -> '.join(shares_beside(before.share, effect.share))} of its need")
    if after.share is not None and (after.port, after.gate_set) != (before.port, before.gate_set):
        said.append(f"neediest then {after.port} in {after.gate_set}, {share_text(after.share)}")
    said += _counts(effect)
    if faults := [finding for finding in effect.added if finding.severity == "fault"]:
        told = [f"{fault.code} at {fault.where}" + (f" ({fault.gate_set})" if fault.gate_set else "") for fault in faults]
        said.append(f"{'worse' if effect.worse else 'instead'}: {', '.join(told)}")
    was = {matter(finding) for finding in effect.cleared}
    cautions = (finding for finding in effect.added if finding.severity == "caution" and matter(finding) not in was)
    if news := dict.fromkeys(f"{finding.code} at {finding.where}" for finding in cautions):
        said.append(f"new: {', '.join(news)}")
    if effect.losses:
        less = [f"{loss.port} in {loss.gate_set} {' -> '.join(shares_beside(loss.before, loss.after))}" for loss in effect.losses]
        most = max(_MOST_NAMED, sum(loss.after < 1.0 for loss in effect.losses))
        said.append(f"less air for {listed(less, most)}")
    if effect.unmade:
        told = [f"{finding.where}: {finding.message}" for finding in effect.unmade]
        said.append(f"cannot be made so: {listed(told, _MOST_NAMED)}")
    if effect.misfits:
        said.append(f"then cut the straights of {', '.join(effect.misfits)} to measure: a hose no longer reaches")
    if abs(effect.price) >= 0.005:
        said.append(f"the ducts' price {in_currency(f'{effect.price:+.2f}', effect.after.currency)}")
    return [words for words in said if words]


def _counts(effect: Effect) -> Iterator[str]:
    """Faults and cautions before and after, or how they spread where there are as many."""
    before, after = effect.before, effect.after
    counts: tuple[tuple[Severity, int, int], ...] = (("fault", before.faults, after.faults), ("caution", before.cautions, after.cautions))
    for severity, was, will in counts:
        if was != will:
            yield f"{severity}s {was} -> {will}"
        elif net := effect.net(severity):
            yield f"{counted(was, severity)} still, in {'fewer' if net < 0 else 'more'} places or gate sets"
