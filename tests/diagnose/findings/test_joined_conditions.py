"""What rules want of several facts at once, and of one fact more than once, against what they say."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from diagnose.case.events import Answered, Case
from diagnose.findings.concluding import FindingsEngine
from rules.language.schema import Rule
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity

Said = tuple[float | None, float | None, float | None, str | None]
"""Left height, right height, plug gap and tank, as far as they are known."""

# a leaf of a condition with what it says; the plug gap of the small mower is 0.6 mm
LEAVES: dict[str, tuple[dict[str, object], Callable[[Any], bool]]] = {
    "left above 30": ({"reading": "left-height", "above": "30 mm"}, lambda v: v[0] > 30),
    "left at least 30": ({"reading": "left-height", "at_least": "30 mm"}, lambda v: v[0] >= 30),
    "left below 40": ({"reading": "left-height", "below": "40 mm"}, lambda v: v[0] < 40),
    "left at most 40": ({"reading": "left-height", "at_most": "40 mm"}, lambda v: v[0] <= 40),
    "right above 30": ({"reading": "right-height", "above": "30 mm"}, lambda v: v[1] > 30),
    "left exceeds right": (
        {"reading": "left-height", "exceeds": "right-height", "by": "5 mm"},
        lambda v: v[0] - v[1] > 5,
    ),
    "right exceeds left": (
        {"reading": "right-height", "exceeds": "left-height", "by": "5 mm"},
        lambda v: v[1] - v[0] > 5,
    ),
    "they differ": (
        {"reading": "left-height", "differs_from": "right-height", "by": "5 mm"},
        lambda v: abs(v[0] - v[1]) > 5,
    ),
    "gap above target": (
        {"reading": "plug-gap-reading", "above": "target + 0.2 mm"},
        lambda v: v[2] > 0.8,
    ),
    "gap at most target": (
        {"reading": "plug-gap-reading", "at_most": "target x 1.5"},
        lambda v: v[2] <= 0.9,
    ),
    "tank off": (
        {"fact": "tank-look", "is": ["stale", "empty"]},
        lambda v: v[3] in ("stale", "empty"),
    ),
    "tank stale": ({"fact": "tank-look", "is": "stale"}, lambda v: v[3] == "stale"),
    "tank empty": ({"fact": "tank-look", "is": "empty"}, lambda v: v[3] == "empty"),
    "gap wide": ({"fact": "plug-gap-reading", "is": "wide"}, lambda v: v[2] > 0.9),
}
HEIGHTS = (29.9, 30.0, 35.0, 40.0, 40.1), (24.9, 30.0, 35.1, 45.2)
SAID: list[Said] = [
    (30.0, 30.0, 0.6, "empty"),
    (40.0, 45.0, 0.9, "empty"),
    (35.2, 30.0, 0.8, "empty"),
    (35.0, None, 1.0, None),
    (None, 35.0, None, "stale"),
    (None, None, None, None),
    *list(itertools.product(*HEIGHTS, (0.6, 0.85, 1.0), ("fresh", "stale")))[::5],
]


def holds(text: str, said: Said) -> bool:
    try:
        return bool(LEAVES[text][1](said))
    except TypeError:  # nothing is known of it
        return False


def probe(*parts: tuple[str, bool], together: str) -> tuple[str, dict[str, object]]:
    name = f" {together} ".join(text if wanted else f"not {text}" for text, wanted in parts)
    leaves = [LEAVES[text][0] if wanted else {"not": LEAVES[text][0]} for text, wanted in parts]
    return name, {together: leaves}


PROBES = [
    (parts, together, *probe(*parts, together=together))
    for one, other in itertools.combinations(LEAVES, 2)
    for parts in (
        ((one, True), (other, True)),
        ((one, True), (other, False)),
        ((other, True), (one, False)),
    )
    for together in ("all", "any")
]
"""Every two leaves, one of them turned round or none."""


SHARES = 8  # a rule base for each


@pytest.fixture(scope="module", params=range(SHARES))
def probed(mower: RuleBase, request: pytest.FixtureRequest) -> tuple[FindingsEngine, slice]:
    some = slice(request.param, None, SHARES)
    rules = {
        name: Rule.model_validate({"when": when, "then": {"caution": "plug-lead"}, "source": "s"})
        for _, _, name, when in PROBES[some]
    }
    return FindingsEngine(replace(mower, rules=rules)), some


def test_they_hold_where_all_they_say_does(probed: tuple[FindingsEngine, slice]) -> None:
    """A `not` holds too where nothing is known."""
    engine, some = probed
    for said in SAID:
        expected = set()
        for parts, together, name, _ in PROBES[some]:
            so = [holds(text, said) is wanted for text, wanted in parts]
            if all(so) if together == "all" else any(so):
                expected.add(name)
        *readings, tank = said
        names = ("left-height", "right-height", "plug-gap-reading")
        events = [
            Answered(name, reading=Quantity(value, "mm"))
            for name, value in zip(names, readings, strict=True)
            if value is not None
        ]
        events += [Answered("tank-look", state=tank)] if tank else []
        found = {raised.rule for raised in engine.conclude(Case(events=tuple(events))).cautions}
        assert found == expected, said
