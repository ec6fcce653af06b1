"""What findings one assessment has and another has not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from engine.checks import Finding


def difference(some: Sequence[Finding], others: Sequence[Finding]) -> tuple[Finding, ...]:
    """Those findings of some that the others lack; their figures do not count, their severity does."""
    left = Counter((finding.severity, matter(finding)) for finding in others)
    found = []
    for finding in some:
        key = (finding.severity, matter(finding))
        if left[key]:
            left[key] -= 1
        else:
            found.append(finding)
    return tuple(found)


def matter(finding: Finding) -> tuple[str, str, str | None]:
    """What a finding is about: its code, its place and its gate set."""
    return finding.code, finding.where, finding.gate_set
