"""What an addition does to worked cases: the chances that move, and what is newly said."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from diagnose.advice.assessor import Assessor
from diagnose.authoring.trials.trial import readable_by
from diagnose.case.events import Answered, Complained
from diagnose.case.files import WorkedCase
from diagnose.findings.concluding import Findings
from rules.language.conditions import names_in
from rules.language.schema import Cause
from rules.rulebase import RuleBase

SHOWN = 3
MOST = 60
"""So many cases are tried, those that tell most of what differs."""
_MOVED = 0.005
"""A chance that changes by less stays as it was, as it is printed."""
_LED = 3


@dataclass(frozen=True, slots=True)
class MovedChance:
    """A cause's chance in a case before and after."""

    cause: str
    true: bool
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class CaseEffect:
    """What becomes of one worked case: the chances that matter there, and what rules newly say."""

    name: str
    title: str
    moved: tuple[MovedChance, ...]
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Effect:
    """What becomes of worked cases: of all there are, `tried` those that tell most of what differs;
    how many are touched, in how many of those tried a true cause stands first before and after, and
    the most touched of them."""

    cases: int
    tried: int
    touched: int
    first_before: int
    first_after: int
    shown: tuple[CaseEffect, ...]


def effect_on(
    before: RuleBase,
    after: RuleBase,
    paths: Sequence[Path],
    started: Callable[[int], None] = lambda length: None,
    progress: Callable[[], None] = lambda: None,
) -> Effect:
    """What the difference of two rule bases does to the worked cases at `paths` that both can read.

    `started` is told how many there are. Raises `BadInput` where one of them cannot be worked.
    """
    known = readable_by(before, paths)
    cases = {path: case for path, case in readable_by(after, paths).items() if path in known}
    seen = _what_differs(before, after)
    near = {path: len(seen & set(_told_in(case))) for path, case in cases.items()}
    cases = {p: cases[p] for p in sorted(cases, key=lambda p: (-near[p], p))[:MOST] if near[p]}
    if not cases:
        return Effect(len(near), 0, 0, 0, 0, ())
    one, two = Assessor(before), Assessor(after)
    started(len(cases))
    touched: list[tuple[float, CaseEffect]] = []
    first = [0, 0]
    for path, case in cases.items():
        was, now = _worked(one, known[path]), _worked(two, case)
        first[0] += was.leading in case.truth
        first[1] += now.leading in case.truth
        found = _compared(case, was, now)
        if found is not None:
            touched.append(found)
        progress()
    touched.sort(key=lambda item: (-item[0], item[1].name))
    shown = tuple(effect for _, effect in touched[:SHOWN])
    return Effect(len(near), len(cases), len(touched), first[0], first[1], shown)


def _what_differs(before: RuleBase, after: RuleBase) -> set[str]:
    """The complaints and facts with which chances or findings can come out differently."""
    found: set[str] = set()
    for key in before.causes.keys() | after.causes.keys():
        one, two = before.causes.get(key), after.causes.get(key)
        if _weighed(one) != _weighed(two):
            found |= {node for cause in (one, two) if cause is not None for node in cause.shows}
    for key in before.rules.keys() | after.rules.keys():
        mine, its = before.rules.get(key), after.rules.get(key)
        if (mine and (mine.when, mine.then)) != (its and (its.when, its.then)):
            found |= {name for rule in (mine, its) if rule for name in names_in(rule.when)}
    for key in before.nodes.keys() | after.nodes.keys():
        if before.nodes.get(key) != after.nodes.get(key):
            found.add(key)
    return found | {name.partition("/")[0] for name in found}


def _weighed(cause: Cause | None) -> object:
    return cause and (cause.per_100, cause.shows, cause.needs, cause.unsafe)


def _told_in(case: WorkedCase) -> Iterator[str]:
    for event in case.case.events:
        if isinstance(event, Complained):
            yield from (event.key, event.complaint)
        elif isinstance(event, Answered):
            yield event.observation


@dataclass(frozen=True, slots=True)
class _Worked:
    chances: dict[str, float]
    leading: str
    said: frozenset[str]


def _worked(assessor: Assessor, case: WorkedCase) -> _Worked:
    belief = assessor.model.believe(case.case)
    ranked = assessor.model.rank(belief).causes
    relevant = [entry.cause for entry in ranked if entry.relevant]
    said = frozenset(_said(assessor.rules, belief.findings))
    return _Worked({e.cause: e.probability for e in ranked}, next(iter(relevant), ""), said)


def _said(rules: RuleBase, findings: Findings) -> Iterator[str]:
    yield from (f"Caution: {rules.cautions[item.text].text}" for item in findings.cautions)
    yield from (f"Do not ride: {item.text}" for item in findings.do_not_ride)
    yield from (f"Cannot be: {item.text}" for item in findings.contradictions)


def _compared(case: WorkedCase, was: _Worked, now: _Worked) -> tuple[float, CaseEffect] | None:
    """(how much it is touched, what becomes of it), None where nothing does."""
    names = was.chances.keys() | now.chances.keys()
    apart = {key: now.chances.get(key, 0.0) - was.chances.get(key, 0.0) for key in names}
    said = tuple(sorted(now.said - was.said))
    much = sum(abs(change) for change in apart.values() if abs(change) >= _MOVED)
    if not much and not said:
        return None
    most = sorted(apart, key=lambda key: (key not in case.truth, -abs(apart[key]), key))
    kept = [k for k in most if k in case.truth or abs(apart[k]) >= _MOVED]
    moved = tuple(
        MovedChance(key, key in case.truth, was.chances.get(key, 0.0), now.chances.get(key, 0.0))
        for key in kept[: _LED + len(case.truth) - 1]
    )
    return much + len(said), CaseEffect(case.name, case.title, moved, said)
