"""Facts to findings, through the real engine."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.case.events import Answered, Case, Complained
from diagnose.findings.compiling import BAND_ABOVE, BAND_BELOW
from diagnose.findings.concluding import FindingsEngine, reading_bands
from rules.language.schema import Condition
from rules.loading.loader import load_pack
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity
from tests.places import MOWER

MakeCase = Callable[..., Case]


@pytest.fixture(scope="module")
def engine(mower: RuleBase) -> FindingsEngine:
    return FindingsEngine(mower)


@pytest.mark.parametrize(
    ("reading", "state"),
    [
        ("0.6 mm", "ok"),
        ("0.9 mm", "ok"),
        ("0.91 mm", "wide"),
        ("0.39 mm", "narrow"),
        ("0.4 mm", "ok"),
    ],
)
def test_a_reading_is_classified_against_its_target(
    engine: FindingsEngine, mower: RuleBase, make_case: MakeCase, reading: str, state: str
) -> None:
    case = make_case(mower, "no-start", plug_gap_reading=reading)
    assert engine.conclude(case).states["plug-gap-reading"] == state


def test_the_target_follows_the_machine_and_what_its_manual_says(
    engine: FindingsEngine, mower: RuleBase, make_case: MakeCase
) -> None:
    case = make_case(mower, "no-start", plug_gap_reading="1.0 mm")
    assert engine.conclude(case).states["plug-gap-reading"] == "wide"
    large = case.with_machine("size", "large")
    assert engine.conclude(large).states["plug-gap-reading"] == "ok"
    by_manual = Case(large.machine, {"plug-gap": Quantity(0.02, "in")}, large.events)
    assert engine.conclude(by_manual).states["plug-gap-reading"] == "wide"


@pytest.mark.parametrize(
    ("left", "right", "state"),
    [
        ("30 mm", "30 mm", "equal"),
        ("30 mm", "35 mm", "equal"),
        ("30 mm", "36 mm", "unequal"),
        ("36 mm", "30 mm", "unequal"),
    ],
)
def test_two_readings_are_compared_either_way(
    engine: FindingsEngine, mower: RuleBase, make_case: MakeCase, left: str, right: str, state: str
) -> None:
    case = make_case(mower, "vibration/deck", left_height=left, right_height=right)
    assert engine.conclude(case).states["heights-unequal"] == state


def test_nothing_is_concluded_from_half_the_facts(
    engine: FindingsEngine, mower: RuleBase, make_case: MakeCase
) -> None:
    case = make_case(mower, "vibration/deck", left_height="30 mm")
    assert "heights-unequal" not in engine.conclude(case).states


def test_findings_chain_and_negation_waits(
    engine: FindingsEngine, mower: RuleBase, make_case: MakeCase
) -> None:
    stale = {"stood_all_winter": "yes", "tank_look": "stale"}
    findings = engine.conclude(make_case(mower, "no-start", **stale))
    assert findings.states["sat-and-stale"] == "yes"
    assert findings.rules_behind["sat-and-stale"] == ("stood-and-stale",)
    assert [raised.text for raised in findings.cautions] == ["clear-ground"]
    uneven = make_case(mower, "no-start", left_height="30 mm", right_height="60 mm", **stale)
    assert engine.conclude(uneven).cautions == ()


def test_contradictions_and_do_not_ride(
    engine: FindingsEngine, mower: RuleBase, make_case: MakeCase
) -> None:
    case = make_case(
        mower, "no-start", spark_seen="sparks", plug_gap_reading="4 mm", blade_wobble="yes"
    )
    findings = engine.conclude(case)
    assert findings.contradictions[0].check == ("spark-seen", "plug-gap-reading")
    assert findings.do_not_ride[0].text == "The blade is loose."


def test_what_this_machine_has_not_got_does_not_apply(
    engine: FindingsEngine, mower: RuleBase
) -> None:
    petrol = engine.conclude(Case(events=(Complained("no-start"),)))
    assert petrol.not_applicable == {"battery-flat", "charge-lamp"}
    electric = engine.conclude(Case({"engine": "electric"}))
    assert {"no-fuel", "tank-look", "plug-worn"} <= electric.not_applicable


def test_an_answer_taken_back_leaves_no_finding_behind(
    engine: FindingsEngine, mower: RuleBase, make_case: MakeCase
) -> None:
    case = make_case(mower, "no-start", stood_all_winter="yes", tank_look="stale")
    before = engine.conclude(case.without_last())
    engine.conclude(case)
    assert engine.conclude(case.without_last()) == before
    assert "sat-and-stale" not in before.states


@given(
    st.lists(st.floats(-50, 50), min_size=1, max_size=4, unique=True).map(sorted),
    st.integers(0, 4),
    st.floats(-60, 60),
)
def test_bands_cover_every_reading_once(limits: list[float], split: int, reading: float) -> None:
    """Bands from any ascending limits leave no reading unclassified and none twice."""
    from rules.language.schema import Observation

    split = min(split, len(limits))
    below, above = limits[:split], limits[split:]
    bands = [{"state": f"b{n}", "below": f"{v:.6f} mm"} for n, v in enumerate(below)]
    bands += [{"state": f"a{n}", "above": f"{v:.6f} mm"} for n, v in enumerate(reversed(above))]
    entry = Observation.model_validate(
        {
            "kind": "measurement", "ask": "x", "unit": "mm", "limits": ["-99 mm", "99 mm"],
            "states": {"ok": "ok", **{b["state"]: "x" for b in bands}},
            "bands": bands, "minutes": 1, "source": "s",
        }
    )  # fmt: skip
    reading = round(reading, 6)
    hits = 0
    for kind, _, low, high in reading_bands(entry, None):
        if kind == BAND_ABOVE:
            hits += low < reading <= high
        elif kind == BAND_BELOW:
            hits += low <= reading < high
        else:
            hits += low <= reading <= high
    assert hits == 1


# An independent reading of a condition, to hold the engine against.


def holds(condition: Condition, states: Mapping[str, str], readings: Mapping[str, float]) -> bool:
    if condition.all is not None:
        return all(holds(part, states, readings) for part in condition.all)
    if condition.any is not None:
        return any(holds(part, states, readings) for part in condition.any)
    if condition.not_ is not None:
        return not holds(condition.not_, states, readings)
    if condition.fact is not None:
        return states.get(condition.fact) in condition.is_
    value = readings.get(str(condition.reading))
    if value is None:
        return False
    if condition.above is not None:
        return value > float(condition.above.split()[0])
    if condition.at_most is not None:
        return value <= float(condition.at_most.split()[0])
    margin = float(str(condition.by).split()[0])
    other = readings.get(str(condition.exceeds or condition.differs_from))
    if other is None:
        return False
    return value > other + margin if condition.exceeds else abs(value - other) > margin


LEAVES: list[dict[str, object]] = [
    {"fact": "hit-a-stone", "is": "yes"},
    {"fact": "tank-look", "is": ["stale", "empty"]},
    {"fact": "engine", "is": "petrol"},
    {"fact": "vibration/deck", "is": "yes"},
    {"reading": "left-height", "above": "30 mm"},
    {"reading": "left-height", "at_most": "30 mm"},
    {"reading": "left-height", "exceeds": "right-height", "by": "2 mm"},
    {"reading": "left-height", "differs_from": "right-height", "by": "5 mm"},
]
conditions = st.recursive(
    st.sampled_from(LEAVES),
    lambda inner: st.one_of(
        st.builds(lambda a, b: {"all": [a, b]}, inner, inner),
        st.builds(lambda a, b: {"any": [a, b]}, inner, inner),
        st.builds(lambda a: {"not": a}, inner),
    ),
    max_leaves=3,
)


@settings(deadline=None, max_examples=25)
@given(conditions)
def test_the_engine_agrees_with_a_plain_reading_of_the_condition(
    tmp_path_factory: pytest.TempPathFactory, condition: dict[str, object]
) -> None:
    import json

    text = (MOWER / "pack.yaml").read_text(encoding="utf-8")
    rule = f"rules:\n  probe: {{when: {json.dumps(condition)}, then: {{caution: plug-lead}}, source: made-up}}\n"
    folder = tmp_path_factory.mktemp("probe")
    (folder / "pack.yaml").write_text(text.replace("rules:\n", rule, 1), encoding="utf-8")
    rules = load_pack(folder)
    engine = FindingsEngine(rules)
    wanted = rules.rules["probe"].when
    for stone, tank, left, right in itertools.product(
        (None, "yes"), (None, "stale"), (None, 28.0, 33.0), (None, 30.0)
    ):
        events: list[Complained | Answered] = [Complained("vibration", "deck")]
        states = {"engine": "petrol", "vibration/deck": "yes"}
        readings = {}
        for name, state in (("hit-a-stone", stone), ("tank-look", tank)):
            if state is not None:
                events.append(Answered(name, state=state))
                states[name] = state
        for name, value in (("left-height", left), ("right-height", right)):
            if value is not None:
                events.append(Answered(name, reading=Quantity(value, "mm")))
                readings[name] = value
        fired = {raised.rule for raised in engine.conclude(Case(events=tuple(events))).cautions}
        assert ("probe" in fired) == holds(wanted, states, readings)
