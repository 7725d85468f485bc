"""The rule engine and the rules read plainly, which the simulator uses, come to the same findings."""

from __future__ import annotations

import dataclasses
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.case.events import Answered, Case, Complained
from diagnose.case.figures import figure_of
from diagnose.case.files import load_worked_cases
from diagnose.findings.bands import comparable, reading_bands
from diagnose.findings.concluding import Findings, FindingsEngine
from rules.language.conditions import leaves
from rules.language.schema import Condition, Rule
from rules.loading.pack_files import OFFROAD, WORKED_CASES
from rules.rulebase import RuleBase, complaint_nodes
from rules.units.quantities import Quantity, parse_quantity


def unordered(findings: Findings) -> Findings:
    """The findings without the order in which rules were found to hold."""
    behind = {finding: tuple(sorted(keys)) for finding, keys in findings.rules_behind.items()}
    return dataclasses.replace(findings, rules_behind=behind)


def unit_of(rules: RuleBase, measurement: str) -> str:
    unit = rules.observations[measurement].unit
    assert unit is not None
    return unit


class Both:
    """The same rules, worked out both ways.

    `comparing` are those that hold two readings together, `margins` says by how much.
    """

    def __init__(self, rules: RuleBase) -> None:
        self.rules = rules
        self.comparing: dict[str, None] = {}
        self.margins: dict[str, list[float]] = {}
        for key, rule in rules.rules.items():
            for leaf, _ in leaves(rule.when):
                if leaf.by is not None:
                    self.comparing[key] = None
                    for name in leaf.names:
                        margin = comparable(parse_quantity(leaf.by), unit_of(rules, name))
                        self.margins.setdefault(name, [0.0]).append(margin)
        self._engine = FindingsEngine(rules)
        self._plain = FindingsEngine(rules, plainly=True)

    def agree_on(self, case: Case) -> Findings:
        """The findings, which are the same either way."""
        found = unordered(self._engine.conclude(case))
        assert unordered(self._plain.conclude(case)) == found
        return found


@pytest.fixture(scope="module")
def shipped(offroad: RuleBase) -> Both:
    return Both(offroad)


@pytest.mark.parametrize("every", [4, pytest.param(1, marks=pytest.mark.long)])
def test_they_agree_on_worked_cases_of_the_shipped_pack(shipped: Both, every: int) -> None:
    seen: Counter[str] = Counter()
    for worked in load_worked_cases(shipped.rules, OFFROAD / WORKED_CASES)[::every]:
        found = shipped.agree_on(worked.case)
        seen["findings"] += len(found.rules_behind)
        seen["contradictions"] += len(found.contradictions)
        seen["cautions"] += len(found.cautions)
        seen["do not ride"] += len(found.do_not_ride)
        seen["hidden"] += len(found.not_applicable)
        seen["computed"] += len(found.computed)
    assert all(seen[what] for what in ("findings", "cautions", "do not ride", "hidden"))


@st.composite
def answers(draw: st.DrawFn, both: Both, name: str, case: Case) -> Answered:
    """An answer that may be: a state, or a reading on or beside a limit, by a little or by what
    rules hold two readings apart."""
    entry = both.rules.observations[name]
    if draw(st.integers(0, 9)) == 0:
        return Answered(name)
    if entry.unit is None:
        return Answered(name, state=draw(st.sampled_from(list(entry.states))))
    assert entry.limits is not None
    low, high = (comparable(parse_quantity(text), entry.unit) for text in entry.limits)
    target = figure_of(both.rules, case, entry.target).value if entry.target else None
    spots = [low, high, (low + high) / 2]
    spots += [end for _, _, *ends in reading_bands(entry, target) for end in ends]
    spot = draw(st.sampled_from([spot for spot in spots if low <= spot <= high]))
    apart = draw(st.sampled_from(both.margins.get(name, [0.0]))) * draw(st.sampled_from([1, -1]))
    beside = draw(st.sampled_from([0.0, 0.1, -0.1, 1e-5]))
    value = round(min(max(spot + apart + beside, low), high), 6)
    return Answered(name, reading=Quantity(value, entry.unit))


@st.composite
def cases(draw: st.DrawFn, both: Both) -> Case:
    """A case in which what a few rules look at is answered, some of it twice."""
    rules = both.rules
    traits = {
        key: draw(st.sampled_from(list(trait.options))) for key, trait in rules.traits.items()
    }
    case = Case(traits)
    complaints = [n for key, entry in rules.complaints.items() for n in complaint_nodes(key, entry)]
    for node in draw(st.lists(st.sampled_from(complaints), max_size=2)):
        name, _, place = node.partition("/")
        case = case.with_event(Complained(name, place or None))
    one = st.one_of(st.sampled_from(list(rules.rules)), st.sampled_from(list(both.comparing)))
    picked = draw(st.lists(one, min_size=1, max_size=6))
    looked_at = [
        name
        for key in picked
        for leaf, _ in leaves(rules.rules[key].when)
        for name in leaf.names
        if name in rules.observations
    ]
    asked = [
        name
        for finding in rules.findings.values()
        if finding.computed is not None and draw(st.booleans())
        for name in finding.computed.inputs.values()
    ]
    for name in [*looked_at, *asked]:
        case = case.with_event(draw(answers(both, name, case)))
    return case


@settings(deadline=None, max_examples=60)
@given(st.data())
def test_they_agree_on_whatever_is_answered(shipped: Both, data: st.DataObject) -> None:
    shipped.agree_on(data.draw(cases(shipped)))


LEAVES: list[dict[str, object]] = [
    {"fact": "hit-a-stone", "is": "yes"},
    {"fact": "tank-look", "is": ["stale", "empty"]},
    {"fact": "engine", "is": "petrol"},
    {"fact": "vibration/deck", "is": "yes"},
    {"fact": "plug-gap-reading", "is": "wide"},
    {"fact": "sat-and-stale", "is": "no"},
    {"fact": "heights-unequal", "is": "unequal"},
    {"reading": "left-height", "above": "30 mm"},
    {"reading": "left-height", "at_most": "30 mm"},
    {"reading": "plug-gap-reading", "below": "target - 0.1 mm"},
    {"reading": "left-height", "exceeds": "right-height", "by": "2 mm"},
    {"reading": "left-height", "differs_from": "right-height", "by": "0.1 mm"},
]
CONDITIONS = st.recursive(
    st.sampled_from(LEAVES),
    lambda inner: st.one_of(
        st.builds(lambda a, b: {"all": [a, b]}, inner, inner),
        st.builds(lambda a, b: {"any": [a, b]}, inner, inner),
        st.builds(lambda a: {"not": a}, inner),
    ),
    max_leaves=3,
).map(Condition.model_validate)


@pytest.mark.long
@settings(deadline=None, max_examples=60)
@given(CONDITIONS, st.data())
def test_they_agree_on_any_condition(
    mower: RuleBase, condition: Condition, data: st.DataObject
) -> None:
    probe = Rule.model_validate(
        {"when": condition, "then": {"caution": "plug-lead"}, "source": "s"}
    )
    both = Both(dataclasses.replace(mower, rules={**mower.rules, "probe": probe}))
    for _ in range(8):
        both.agree_on(data.draw(cases(both)))
