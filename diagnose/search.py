"""Find complaints by the words riders use."""

from __future__ import annotations

from rapidfuzz import fuzz, process, utils

from rules.rulebase import RuleBase

_GOOD_ENOUGH = 60.0
_NEAR_THE_BEST = 0.8


def find_complaints(rules: RuleBase, text: str, most: int = 5) -> list[str]:
    """Complaint ids whose title or sayings come closest to `text`, best first, if any."""
    words = [
        (key, saying)
        for key, entry in rules.complaints.items()
        for saying in (entry.title, *entry.said)
    ]
    matches = process.extract(
        text,
        [saying for _, saying in words],
        scorer=fuzz.WRatio,
        processor=utils.default_process,
        score_cutoff=_GOOD_ENOUGH,
        limit=None,
    )
    best: dict[str, float] = {}
    for _, score, index in matches:
        key = words[index][0]
        best[key] = max(best.get(key, 0.0), score)
    order = list(rules.complaints)
    near = [key for key in best if best[key] >= _NEAR_THE_BEST * max(best.values())]
    return sorted(near, key=lambda key: (-best[key], order.index(key)))[:most]
