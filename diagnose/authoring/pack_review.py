"""What is doubtful in a pack that loads: what its strengths can and cannot tell."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from diagnose.findings.concluding import FindingsEngine
from diagnose.inference.confirming import checks_by_cause
from diagnose.listening.phrase_review import phrase_doubts
from diagnose.training.course.exam import check_teaching
from rules.language.schema import Cause
from rules.loading.loader import load_packs
from rules.review.doubts import Doubt, doubt
from rules.review.entry_review import entry_doubts
from rules.review.rule_review import rule_doubts
from rules.review.stack_review import stack_doubts
from rules.rulebase import RuleBase

TOLD_APART = 2.0
_NAMED = 3


def review(rules: RuleBase) -> list[Doubt]:
    """Every doubt about a pack, by place."""
    return sorted([*_beside_phrases(rules), *phrase_doubts(rules)])


def _beside_phrases(rules: RuleBase) -> list[Doubt]:
    return [
        *_unconfirmed(rules),
        *_not_told_apart(rules),
        *_telling_nothing(rules),
        *_unguarded_dangers(rules),
        *entry_doubts(rules),
        *rule_doubts(rules),
        *stack_doubts(rules),
    ]


def review_packs(folders: Sequence[Path], loaded: RuleBase | None = None) -> list[Doubt]:
    """Every doubt about the packs in `folders`, loaded as one stack, the first at the bottom; what
    they make is given where it is `loaded` already.

    Where the pack that ships was put under them, its own doubts are left out. Raises `BadInput`.
    """
    rules = loaded or load_packs(folders)
    FindingsEngine(rules)  # what its rules are compiled to has limits of its own
    teaching = check_teaching(rules, folders)
    units = teaching.course.units if teaching is not None else ()
    drawn = {f"pictures.{picture}" for unit in units for picture in unit.drawn.values()}
    found = [item for item in review(rules) if item.code != "unused" or item.field not in drawn]
    if not found or len(rules.packs) <= max(len(folders), 1):
        return found
    shipped = load_packs(())
    # to try every phrase takes longer than all else
    is_about_phrases = any(item.code.startswith("phrase-") for item in found)
    doubts = review(shipped) if is_about_phrases else _beside_phrases(shipped)
    before = {(item.code, item.field, item.message) for item in doubts}
    return [item for item in found if (item.code, item.field, item.message) not in before]


def _unconfirmed(rules: RuleBase) -> Iterator[Doubt]:
    for cause, nodes in checks_by_cause(rules).items():
        if not nodes:
            message = "no observation can confirm it; add a check that shows it plainly"
            yield doubt(rules, ("causes", cause), (), "unconfirmed", message)


def _not_told_apart(rules: RuleBase) -> Iterator[Doubt]:
    names = list(rules.causes)
    alike = ~told_apart(rules, names) & _sharing_a_complaint(rules, names)
    level = {pack.id: number for number, pack in enumerate(rules.packs)}
    rank = [level.get(rules.origins[("causes", name)].pack, 0) for name in names]
    taken: dict[str, list[str]] = {}
    for i, j in np.argwhere(np.triu(alike, 1)).tolist():
        # the cause of the higher pack is the one to mend
        one, other = (names[i], names[j]) if rank[j] > rank[i] else (names[j], names[i])
        first, second = rules.causes[one], rules.causes[other]
        listed = other in first.not_separable_from or one in second.not_separable_from
        if not listed and _can_meet(first, second):
            taken.setdefault(other, []).append(one)
    for cause, others in taken.items():
        more = f" and {len(others) - _NAMED} more" if len(others) > _NAMED else ""
        message = (
            f"nothing tells it from {', '.join(others[:_NAMED])}{more}; "
            "add a check or list it as not separable"
        )
        yield doubt(rules, ("causes", cause), ("shows",), "not-told-apart", message)


def _can_meet(one: Cause, other: Cause) -> bool:
    return all(
        set(options) & set(other.needs[trait])
        for trait, options in one.needs.items()
        if trait in other.needs
    )


def _sharing_a_complaint(rules: RuleBase, names: Sequence[str]) -> NDArray[np.bool_]:
    row = {complaint: number for number, complaint in enumerate(rules.complaints)}
    shown = np.zeros((len(row), len(names)), dtype=np.float32)
    for column, name in enumerate(names):
        for key in rules.causes[name].shows:
            if (complaint := key.partition("/")[0]) in row:
                shown[row[complaint], column] = 1.0
    together: NDArray[np.bool_] = (shown.T @ shown) > 0
    return together


def told_apart(rules: RuleBase, names: Sequence[str]) -> NDArray[np.bool_]:
    """Which pairs of causes some state of an observation or finding tells apart: it is at least
    twice as likely under one alone as under the other, background included.

    Shape (causes, causes).
    """
    index = {name: number for number, name in enumerate(names)}
    apart = np.zeros((len(names), len(names)), dtype=bool)
    for node_id, shown in _by_node(rules).items():
        node = rules.nodes[node_id]
        if node.kind == "complaint":
            continue
        rows = [index[cause] for cause in shown]
        alone = np.tile(np.asarray(node.background), (len(names), 1))
        for row, chances in zip(rows, shown.values(), strict=True):
            alone[row] = _with_background(node.background, chances)
        for state in alone.T:  # one after the other, to be sparing with memory
            more = np.maximum.outer(state[rows], state)
            # a state that neither can show tells nothing
            telling = (more > 0) & (more >= TOLD_APART * np.minimum.outer(state[rows], state))
            apart[rows] |= telling
            apart[:, rows] |= telling.T
    return apart


def _by_node(rules: RuleBase) -> dict[str, dict[str, tuple[float, ...]]]:
    shown: dict[str, dict[str, tuple[float, ...]]] = {}
    for link in rules.links:
        shown.setdefault(link.node, {})[link.cause] = link.chances
    return shown


def _with_background(background: Sequence[float], shown: Sequence[float]) -> NDArray[np.float64]:
    """The noisy-MAX of a cause alone and the background: probability per state."""
    return np.diff(np.cumsum(background) * np.cumsum(shown), prepend=0.0)


def _telling_nothing(rules: RuleBase) -> Iterator[Doubt]:
    shown = _by_node(rules)
    for key in rules.observations:
        if key not in shown:
            continue
        background = rules.nodes[key].background
        alone = np.array(
            [background, *(_with_background(background, c) for c in shown[key].values())]
        )
        if (alone.max(axis=0) < TOLD_APART * alone.min(axis=0)).all():
            message = f"no answer is even {TOLD_APART:g} times as likely under one cause as another"
            yield doubt(rules, ("observations", key), (), "tells-nothing", message)


def _unguarded_dangers(rules: RuleBase) -> Iterator[Doubt]:
    checks = checks_by_cause(rules)
    safety = {key for key, entry in rules.observations.items() if entry.safety}
    for key, cause in rules.causes.items():
        if cause.unsafe and not checks[key] & safety:
            message = "it is unsafe, and no check marked `safety` can confirm it"
            yield doubt(rules, ("causes", key), ("unsafe",), "no-safety-check", message)
