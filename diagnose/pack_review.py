"""What is doubtful in a pack that loads: nothing here stops it from working."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from diagnose.checks import checks_by_cause
from rules.rulebase import Node, RuleBase
from rules.schema import Cause

MOST_WORDS = 45
TOLD_APART = 2.0


@dataclass(frozen=True, slots=True, order=True)
class Doubt:
    """Something worth a second look, where it stands, and what to do about it."""

    file: str
    line: int
    code: str
    entry: str
    message: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: warning[{self.code}] {self.entry}: {self.message}"


def review(rules: RuleBase) -> list[Doubt]:
    """Every doubt about a pack, by place."""
    found = [
        *_unconfirmed(rules),
        *_not_told_apart(rules),
        *_telling_nothing(rules),
        *_bare_hazards(rules),
        *_unguarded_dangers(rules),
        *_wordy(rules),
    ]
    return sorted(found)


def _doubt(rules: RuleBase, section: str, key: str, code: str, message: str) -> Doubt:
    origin = rules.origins[(section, key)]
    return Doubt(origin.file, origin.line, code, f"{section}.{key}", message)


def _unconfirmed(rules: RuleBase) -> Iterator[Doubt]:
    for cause, nodes in checks_by_cause(rules).items():
        if not nodes:
            message = "no observation can confirm it; add a check that shows it plainly"
            yield _doubt(rules, "causes", cause, "unconfirmed", message)


def _not_told_apart(rules: RuleBase) -> Iterator[Doubt]:
    chances = {(link.cause, link.node): link.chances for link in rules.links}
    for one, other in itertools.combinations(rules.causes, 2):
        first, second = rules.causes[one], rules.causes[other]
        listed = other in first.not_separable_from or one in second.not_separable_from
        if listed or not _can_meet(first, second) or not _share_complaint(rules, first, second):
            continue
        if not any(told_apart(node, chances, one, other) for node in rules.nodes.values()):
            message = f"nothing tells it from {other}; add a check or list it as not separable"
            yield _doubt(rules, "causes", one, "not-told-apart", message)


def _can_meet(one: Cause, other: Cause) -> bool:
    return all(
        set(options) & set(other.needs[trait])
        for trait, options in one.needs.items()
        if trait in other.needs
    )


def _share_complaint(rules: RuleBase, one: Cause, other: Cause) -> bool:
    def complaints(cause: Cause) -> set[str]:
        return {key.partition("/")[0] for key in cause.shows} & set(rules.complaints)

    return bool(complaints(one) & complaints(other))


def told_apart(
    node: Node, chances: Mapping[tuple[str, str], tuple[float, ...]], one: str, other: str
) -> bool:
    """Whether some state of an observation or finding is at least twice as likely under one cause
    alone as under the other, background included."""
    if node.kind == "complaint":
        return False
    unlinked = (1.0,) + (0.0,) * (len(node.states) - 1)
    both = [_with_background(node, chances.get((c, node.id), unlinked)) for c in (one, other)]
    return any(max(a, b) >= TOLD_APART * min(a, b) for a, b in zip(both[0], both[1], strict=True))


def _with_background(node: Node, shown: tuple[float, ...]) -> list[float]:
    cumulative = [
        a * b
        for a, b in zip(
            itertools.accumulate(node.background), itertools.accumulate(shown), strict=True
        )
    ]
    return [high - low for low, high in itertools.pairwise([0.0, *cumulative])]


def _telling_nothing(rules: RuleBase) -> Iterator[Doubt]:
    shown: dict[str, list[tuple[float, ...]]] = {}
    for link in rules.links:
        shown.setdefault(link.node, []).append(link.chances)
    for key in rules.observations:
        if key not in shown:
            continue
        node = rules.nodes[key]
        alone = [list(node.background), *(_with_background(node, c) for c in shown[key])]
        most = max(max(state) / min(state) for state in zip(*alone, strict=True))
        if most < TOLD_APART:
            message = f"no answer is even {TOLD_APART:g} times as likely under one cause as another"
            yield _doubt(rules, "observations", key, "tells-nothing", message)


def _bare_hazards(rules: RuleBase) -> Iterator[Doubt]:
    for section, entries in (
        ("observations", rules.observations),
        ("corrections", rules.corrections),
    ):
        for key, entry in entries.items():
            if entry.opens and not entry.cautions:
                message = "it opens something and carries no caution"
                yield _doubt(rules, section, key, "no-caution", message)


def _unguarded_dangers(rules: RuleBase) -> Iterator[Doubt]:
    checks = checks_by_cause(rules)
    safety = {key for key, entry in rules.observations.items() if entry.safety}
    for key, cause in rules.causes.items():
        if cause.unsafe and not checks[key] & safety:
            message = "it is unsafe, and no check marked `safety` can confirm it"
            yield _doubt(rules, "causes", key, "no-safety-check", message)


def _wordy(rules: RuleBase) -> Iterator[Doubt]:
    for key, cause in rules.causes.items():
        if len(cause.what.split()) > MOST_WORDS * 2:
            yield _doubt(rules, "causes", key, "wordy", f"`what` has over {MOST_WORDS * 2} words")
    for key, entry in rules.observations.items():
        for line in entry.how:
            if len(line.split()) > MOST_WORDS:
                message = f"a line of `how` has over {MOST_WORDS} words"
                yield _doubt(rules, "observations", key, "wordy", message)
