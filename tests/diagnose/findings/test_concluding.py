"""Facts to findings: what is expected by hand, of the real engine and of the rules read plainly."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.case.events import Answered, Case, Complained
from diagnose.findings.bands import bands_of, reading_bands
from diagnose.findings.concluding import FindingsEngine, finding_inputs, most_telling
from rules.language.schema import Band, Condition, Observation, Rule
from rules.problems import FileProblems
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity

MakeCase = Callable[..., Case]


@pytest.fixture(scope="module", params=[False, True], ids=["engine", "plainly"])
def plainly(request: pytest.FixtureRequest) -> bool:
    return bool(request.param)


@pytest.fixture(scope="module")
def engine(mower: RuleBase, plainly: bool) -> FindingsEngine:
    return FindingsEngine(mower, plainly=plainly)


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
    large = case.on_machine({**case.machine, "size": "large"}, case.targets)
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
    assert sum(band.holds(reading) for band in reading_bands(entry, None)) == 1


STALE = {"fact": "tank-look", "is": ["stale", "empty"]}
STONE = {"fact": "hit-a-stone", "is": "yes"}
HIGH = {"reading": "left-height", "above": "30 mm"}
APART = {"reading": "left-height", "differs_from": "right-height", "by": "0.1 mm"}
HIGHER = {"reading": "left-height", "exceeds": "right-height", "by": "0.1 mm"}
NARROW = {"reading": "plug-gap-reading", "below": "target - 0.2 mm"}
AT_MOST = {"reading": "plug-gap-reading", "at_most": "target + 0.2 mm"}
AT_LEAST = {"reading": "plug-gap-reading", "at_least": "target x 1.5"}
STALE_FUEL, A_STONE = {"tank_look": "stale"}, {"hit_a_stone": "yes"}


@pytest.mark.parametrize(
    ("when", "answers", "expected"),
    [
        (STALE, STALE_FUEL, True),
        (STALE, {"tank_look": "fresh"}, False),
        (STALE, {"tank_look": "dont-know"}, False),
        ({"not": STALE}, {}, True),
        ({"not": STALE}, STALE_FUEL, False),
        ({"not": {"not": STALE}}, STALE_FUEL, True),
        ({"not": {"not": STALE}}, {}, False),
        ({"all": [STALE, STONE]}, STALE_FUEL, False),
        ({"all": [STALE, STONE]}, STALE_FUEL | A_STONE, True),
        ({"any": [STALE, STONE]}, A_STONE, True),
        ({"not": {"any": [STALE, STONE]}}, A_STONE, False),
        ({"not": {"all": [STALE, STONE]}}, A_STONE, True),
        ({"all": [STONE, {"not": STALE}]}, A_STONE, True),
        ({"all": [STONE, {"not": STALE}]}, A_STONE | STALE_FUEL, False),
        (HIGH, {"left_height": "30 mm"}, False),
        (HIGH, {"left_height": "30.1 mm"}, True),
        ({"not": HIGH}, {"left_height": "30 mm"}, True),
        ({"not": HIGH}, {}, True),
        ({"all": [HIGH, {"not": APART}]}, {"left_height": "31 mm"}, True),
        (APART, {"left_height": "30.2 mm", "right_height": "30.3 mm"}, False),
        (APART, {"left_height": "30.3 mm", "right_height": "30.2 mm"}, False),
        (APART, {"left_height": "30.2 mm", "right_height": "30.31 mm"}, True),
        (HIGHER, {"left_height": "30.2 mm", "right_height": "30.31 mm"}, False),
        (HIGHER, {"left_height": "30.31 mm", "right_height": "30.2 mm"}, True),
        ({"not": HIGHER}, {"left_height": "30.31 mm"}, True),
        (NARROW, {"plug_gap_reading": "0.4 mm"}, False),
        (NARROW, {"plug_gap_reading": "0.39 mm"}, True),
        (NARROW, {"plug_gap_reading": "0.00001 mm"}, True),
        (AT_MOST, {"plug_gap_reading": "0.8 mm"}, True),
        (AT_MOST, {"plug_gap_reading": "0.81 mm"}, False),
        ({"not": AT_MOST}, {"plug_gap_reading": "0.8 mm"}, False),
        ({"not": AT_MOST}, {"plug_gap_reading": "0.81 mm"}, True),
        (AT_LEAST, {"plug_gap_reading": "0.9 mm"}, True),
        (AT_LEAST, {"plug_gap_reading": "0.89 mm"}, False),
    ],
)
def test_a_condition_holds_where_it_says(
    mower: RuleBase,
    make_case: MakeCase,
    plainly: bool,
    when: dict[str, object],
    answers: dict[str, str],
    expected: bool,
) -> None:
    probe = Rule.model_validate({"when": when, "then": {"caution": "clear-ground"}, "source": "s"})
    engine = FindingsEngine(dataclasses.replace(mower, rules={"probe": probe}), plainly=plainly)
    cautions = engine.conclude(make_case(mower, "no-start", **answers)).cautions
    assert bool(cautions) is expected


def test_a_finding_may_rest_on_the_bike_alone(mower: RuleBase, plainly: bool) -> None:
    when = Condition.model_validate({"fact": "engine", "is": "electric"})
    rule = mower.rules["stood-and-stale"].model_copy(update={"when": when})
    rules = dataclasses.replace(mower, rules={"electric": rule})
    engine = FindingsEngine(rules, plainly=plainly)
    assert engine.conclude(Case({"engine": "electric"})).states["sat-and-stale"] == "yes"
    assert engine.conclude(Case({"engine": "petrol"})).states["sat-and-stale"] == "no"


@pytest.mark.parametrize(
    ("right", "state"), [("35.000000000 mm", "equal"), ("35.000000001 mm", "unequal")]
)
def test_readings_are_told_apart_to_the_last_decimal(
    engine: FindingsEngine, mower: RuleBase, make_case: MakeCase, right: str, state: str
) -> None:
    case = make_case(mower, "vibration/deck", left_height="30 mm", right_height=right)
    assert engine.conclude(case).states["heights-unequal"] == state


def test_without_bands_a_reading_has_no_state(
    engine: FindingsEngine, mower: RuleBase, make_case: MakeCase
) -> None:
    assert list(bands_of([], "mm", "ok", None)) == []
    states = engine.conclude(make_case(mower, "vibration/deck", left_height="30 mm")).states
    assert "left-height" not in states


def test_limits_that_cross_leave_nothing_normal() -> None:
    """And none of two bands reaches beyond the one told before it."""
    high, low = Band(state="high", above="3 mm"), Band(state="low", below="5 mm")
    made = list(bands_of([high, low], "mm", "ok", None))
    assert [(band.state, band.low, band.high) for band in made] == [
        ("high", 3.0, 1e9),
        ("low", -1e9, 5.0),
    ]
    touching = Band(state="low", below="3 mm")
    assert list(bands_of([high, touching], "mm", "ok", None))[-1] == ("normal", "ok", 3.0, 3.0)


def test_a_ban_is_named_once_and_outlasts_what_nobody_knows_any_more(
    engine: FindingsEngine, mower: RuleBase, make_case: MakeCase
) -> None:
    case = make_case(mower, "no-start", blade_wobble="yes", tank_look="fresh")
    for forgotten in ("tank-look", "blade-wobble"):
        case = case.with_event(Answered(forgotten))
        assert [raised.rule for raised in engine.conclude(case).do_not_ride] == ["blade-loose"]


def test_where_nothing_is_forgotten_an_answer_that_changed_lifts_the_ban(
    engine: FindingsEngine, mower: RuleBase, make_case: MakeCase
) -> None:
    case = make_case(mower, "no-start", blade_wobble="yes")
    assert engine.conclude(case.with_event(Answered("blade-wobble", state="no"))).do_not_ride == ()


def test_the_most_telling_state_is_the_last_of_those_concluded(mower: RuleBase) -> None:
    assert most_telling(mower, "heights-unequal", []) == "equal"
    assert most_telling(mower, "heights-unequal", ["unequal", "equal"]) == "unequal"


def test_of_rules_that_disagree_the_more_telling_stands_and_is_named(
    mower: RuleBase, make_case: MakeCase, plainly: bool
) -> None:
    level = {
        "when": {"fact": "hit-a-stone", "is": "no"},
        "then": {"finding": {"heights-unequal": "equal"}},
        "source": "s",
    }
    rules = {**mower.rules, "level": Rule.model_validate(level)}
    engine = FindingsEngine(dataclasses.replace(mower, rules=rules), plainly=plainly)
    no_stone = make_case(mower, "vibration/deck", hit_a_stone="no")
    assert engine.conclude(no_stone).rules_behind == {"heights-unequal": ("level",)}
    apart = [Answered("left-height", reading=Quantity(30, "mm"))]
    apart += [Answered("right-height", reading=Quantity(40, "mm"))]
    findings = engine.conclude(no_stone.with_event(apart[0]).with_event(apart[1]))
    assert findings.states["heights-unequal"] == "unequal"
    assert findings.rules_behind == {"heights-unequal": ("heights-differ",)}


def test_what_a_finding_is_drawn_from(engine: FindingsEngine, mower: RuleBase) -> None:
    assert finding_inputs(mower) == {
        "heights-unequal": ("left-height", "right-height"),
        "sat-and-stale": ("stood-all-winter", "tank-look"),
    }
    assert engine.sources_of("sat-and-stale") == ("stood-all-winter", "tank-look")


LONG = [
    {"fact": name, "is": "yes"}
    for name in ("hit-a-stone", "stood-all-winter", "blade-wobble", "carburettor-inside")
]
LONG += [{"fact": "tank-look", "is": "fresh"}, {"fact": "spark-seen", "is": "none"}, HIGH]


def test_a_rule_beyond_the_engine_is_refused_with_its_place(mower: RuleBase) -> None:
    rule = {"when": {"all": LONG}, "then": {"caution": "clear-ground"}, "source": "s"}
    rules = {**mower.rules, "blade-loose": Rule.model_validate(rule)}
    with pytest.raises(FileProblems, match="joins 7 facts") as caught:
        FindingsEngine(dataclasses.replace(mower, rules=rules))
    (problem,) = caught.value.problems
    assert problem.line == mower.origins[("rules", "blade-loose")].line
    assert (problem.column, problem.field) == (1, "rules.blade-loose.when")
    six = {**rule, "when": {"all": LONG[1:]}}
    rules["blade-loose"] = Rule.model_validate(six)
    FindingsEngine(dataclasses.replace(mower, rules=rules))
