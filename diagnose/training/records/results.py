"""What a finished case came to, in the few figures that lists and progress look at."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

from diagnose.records.store.store_problems import DamagedStore
from rules.rulebase import RuleBase


@dataclass(frozen=True, slots=True)
class AttemptResult:
    """A finished case. `total` is 0 to 100, `measures` holds the share earned of each.

    `causes` are those behind the complaint and `groups` theirs; `failed` says why the case was
    failed outright, if it was.
    """

    total: float
    passed: bool
    failed: str
    minutes: float
    cost_ratio: float
    hints: int
    measures: Mapping[str, float] = field(default_factory=dict)
    causes: tuple[str, ...] = ()
    groups: tuple[str, ...] = ()
    named: tuple[str, ...] = ()
    level: str = ""
    theme: str = ""

    @property
    def right(self) -> float:
        """Share of the points for the right cause; none in a case failed outright."""
        return 0.0 if self.failed else self.measures.get("right-cause", 0.0)


def result_of(rules: RuleBase, document: Mapping[str, Any]) -> AttemptResult:
    """The figures of a score document."""
    score, scenario = document["score"], document["scenario"]
    causes = tuple(score["behind"])
    groups = dict.fromkeys(rules.causes[c].group for c in causes if c in rules.causes)
    return AttemptResult(
        score["total"],
        score["passed"],
        score["failed"],
        score["minutes"],
        score["cost_ratio"],
        score["hints"],
        {item["id"]: item["share"] for item in score["measures"]},
        causes,
        tuple(groups),
        tuple(score["named"]),
        scenario["level"] or "",
        scenario["theme"] or "",
    )


def write_result(result: AttemptResult) -> str:
    """The result as text for the store; `read_result` reads it."""
    return json.dumps(asdict(result), ensure_ascii=False)


def read_result(text: str, where: str) -> AttemptResult:
    """What `write_result` wrote. Raises `DamagedStore` naming `where`."""
    try:
        data = json.loads(text)
        for name in ("causes", "groups", "named"):
            data[name] = tuple(data[name])
        return AttemptResult(**data)
    except (ValueError, TypeError, KeyError):
        raise DamagedStore(f"{where} cannot be read; nothing was changed") from None
