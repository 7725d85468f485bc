"""From readings to the two ends compared, and what the budget says of them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.harshness.budget_document import harshness_document
from diagnose.harshness.changes import what_ifs
from diagnose.harshness.compared_bike import HarshnessCase, build_case
from diagnose.harshness.curves import curves
from diagnose.harshness.shares import (
    GROUPS,
    answer_end,
    first_number,
    live_budget,
    tyre_or_damping,
)
from diagnose.harshness.values import PLACES, VALUES, End, KnownValues, questions, read_value
from diagnose.physics.budget.factors import Factor
from diagnose.physics.ride.lanes import SetupLanes, UnknownScales, build_lanes
from rules.problems import BadInput
from rules.rulebase import RuleBase
from rules.units.quantities import parse_quantity

PSI = 6_894.757
FRONT, REAR = End.FRONT, End.REAR


def known(targets: dict[str, str] | None = None, **values: str) -> KnownValues:
    named = {name.replace("_", "-"): text for name, text in values.items()}
    return KnownValues(
        {name: read_value(name, text) for name, text in named.items()},
        {name: read_value(name, text) for name, text in (targets or {}).items()},
    )


def case_of(targets: dict[str, str] | None = None, **values: str) -> HarshnessCase:
    return build_case(known(targets, **values))


def stands(case: HarshnessCase, end: End) -> float:
    """Travel (m) the measured end stands at."""
    lanes = build_lanes(case.axle(end), SetupLanes.of([case.setups(end)[0]]), UnknownScales.ones(1))
    return float(lanes.rest_travel()[0])


def test_what_nobody_measured_is_as_it_should_be() -> None:
    case = case_of()
    for end in End:
        measured, target = case.setups(end)
        assert measured == target
    assert not any(case.any_measured(end) for end in End)


def test_readings_arrive_in_si_at_the_right_end() -> None:
    case = case_of(
        front_tyre="1.7 bar", fork_compression="8 clicks", front_gap="20 mm", rear_tyre="20 psi",
        shock_high_speed="1 turn", shock_rebound="10",
    )  # fmt: skip
    front, rear = (case.setups(end)[0] for end in (FRONT, REAR))
    assert front.tyre_pressure == pytest.approx(170_000.0)
    assert front.low_speed_compression == 8.0
    assert front.friction == pytest.approx(2.0 * case.setups(FRONT)[1].friction)
    assert rear.tyre_pressure == pytest.approx(20 * PSI)
    assert (rear.high_speed_compression, rear.rebound) == (1.0, 10.0)


def test_the_damping_curve_is_that_of_the_standard_clicks() -> None:
    """Twelve out of twelve is as soft as eight out of eight."""
    other = case_of(targets={"fork-compression": "8 clicks"}, fork_compression="8 clicks")
    assert other.axle(FRONT).adjusters.low_compression_standard == 8.0
    assert first_number(other, FRONT) == pytest.approx(0.0)


@pytest.mark.parametrize(("sag", "stiffness"), [("80 mm", "56 N/mm"), ("115 mm", "50 N/mm")])
def test_sag_and_spring_set_where_the_rear_stands(sag: str, stiffness: str) -> None:
    case = case_of(rear_sag=sag, shock_spring=stiffness)
    plain = stands(case_of(), REAR)
    moved = parse_quantity(sag).to("m").value - 0.100
    assert stands(case, REAR) == pytest.approx(plain + moved, abs=1e-4)


def test_more_sag_than_no_preload_allows_means_a_softer_spring() -> None:
    case = case_of(rear_sag="150 mm")
    assert case.setups(REAR)[0].spring_preload == 0.0
    assert case.setups(REAR)[0].spring_rate < case.setups(REAR)[1].spring_rate


def test_front_sag_counts_along_the_leg() -> None:
    shallow, usual = stands(case_of(front_sag="58 mm"), FRONT), stands(case_of(), FRONT)
    assert usual - shallow == pytest.approx(0.010 * math.cos(math.radians(27.1)), abs=1e-4)


def test_trapped_air_comes_from_places_or_a_gauge() -> None:
    climbed = case_of(bled_at="0 m", ridden_at="1500 m")
    assert climbed.setups(FRONT)[0].trapped_pressure == pytest.approx(13_340, abs=20)
    assert climbed.setups(REAR)[0].trapped_pressure == 0.0
    assert climbed.setups(FRONT)[0].air_pressure == pytest.approx(84_556, abs=5)
    assert case_of(trapped_air="2 psi").setups(FRONT)[0].trapped_pressure == pytest.approx(2 * PSI)
    warm = case_of(bled_at="0 m", bled_temperature="20 °C", fork_temperature="50 °C")
    assert warm.setups(FRONT)[0].trapped_pressure == pytest.approx(10_370, abs=20)


@pytest.mark.parametrize(
    ("name", "text", "message"),
    [
        ("front-tyre", "-3 psi", r"front-tyre is -3 psi; it must be between 0 and 80 psi"),
        ("front-tyre", "25 bar", r"front-tyre is 25 bar; it must be between 0 and 80 psi"),
        ("front-tyre", "25 mm", "front-tyre: '25 mm' is a length; give a pressure"),
        ("fork-compression", "soft", "is not a number with a unit such as '12 clicks'"),
        ("rear-sag", "320 mm", r"rear-sag is 320 mm; it must be between 0 and 307 mm"),
        ("trapped-air", "-120 kPa", "below a vacuum; it must be between -101 and 600 kPa"),
        ("front-tire", "25 psi", "did you mean 'front-tyre'"),
    ],
)
def test_bad_values_are_named_with_what_would_do(name: str, text: str, message: str) -> None:
    with pytest.raises(BadInput, match=message):
        read_value(name, text)


def test_trapped_air_told_twice_is_refused() -> None:
    with pytest.raises(BadInput, match="give one or the other"):
        case_of(trapped_air="10 kPa", bled_at="0 m")


@pytest.mark.parametrize("name", ["front-sag", "rear-sag"])
def test_a_sag_that_leaves_no_travel_is_refused(name: str) -> None:
    with pytest.raises(BadInput, match="it must be between"):
        build_case(
            KnownValues({name: read_value(name, "0 mm")}, {name: read_value(name, "250 mm")})
        )


def test_surprising_values_are_asked_back() -> None:
    asked = list(questions(known(front_tyre="40 psi", fork_compression="8")))
    assert asked == ["front-tyre is 40 psi; 6 to 35 psi is usual. Is that what was read?"]


def test_every_standard_has_a_source_and_is_usual() -> None:
    for value in VALUES.values():
        assert value.source
        size = parse_quantity(value.standard, value.unit).to(value.unit).value
        assert value.usual[0] <= size <= value.usual[1]
        assert value.possible[0] <= value.usual[0] < value.usual[1] <= value.possible[1]
    assert {value.factor for value in VALUES.values()} == set(Factor)
    assert not set(VALUES) & set(PLACES)


@pytest.mark.parametrize(
    ("name", "spec"),
    [
        ("front-tyre", "front-tyre-pressure"),
        ("rear-tyre", "rear-tyre-pressure"),
        ("fork-compression", "fork-compression"),
        ("fork-rebound", "fork-rebound"),
        ("front-sag", "front-race-sag"),
        ("rear-sag", "rear-race-sag"),
        ("shock-low-speed", "shock-low-speed-compression"),
        ("shock-high-speed", "shock-high-speed-compression"),
        ("shock-rebound", "shock-rebound"),
    ],
)
def test_standards_agree_with_the_pack_that_ships(offroad: RuleBase, name: str, spec: str) -> None:
    default = offroad.specs[spec].default
    text = default if isinstance(default, str) else default["full-size"]
    assert parse_quantity(VALUES[name].standard) == parse_quantity(text)


# -- what the budget says ------------------------------------------------------------------------


@pytest.mark.parametrize("hard", ["25 psi", "30 psi"])
@pytest.mark.parametrize("soft", ["12 psi", "13 psi"])
def test_a_hard_tyre_is_plainly_harsher_over_a_square_edge(hard: str, soft: str) -> None:
    """25 to 30 psi against 12 to 13 psi: common practice says plainly; here a fifth or more."""
    case = case_of(targets={"front-tyre": soft}, front_tyre=hard)
    assert first_number(case, FRONT) > 0.2


def test_the_first_number_is_the_budgets_own() -> None:
    case = case_of(front_tyre="25 psi", fork_compression="6 clicks")
    edge = answer_end(case, FRONT, draws=1).budget.over("square edge")
    assert first_number(case, FRONT) == pytest.approx(edge.excess / edge.target)


def test_shares_of_what_makes_it_harsher_add_up() -> None:
    case = case_of(front_tyre="22 psi", fork_compression="4 clicks", front_gap="25 mm")
    answer = answer_end(case, FRONT, draws=4)
    assert answer.groups is not None
    positive = sum(part.middle for part in answer.groups.values() if part.middle > 0)
    assert positive == pytest.approx(1.0)
    for obstacle in answer.budget.obstacles:
        assert sum(share.value for share in obstacle.shares) == pytest.approx(obstacle.excess)
    assert set(answer.differing) == {
        Factor.TYRE_PRESSURE, Factor.LOW_SPEED_COMPRESSION, Factor.FRICTION,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"front_tyre": "26 psi", "fork_compression": "10"}, "the tyre; of the extra"),
        ({"front_tyre": "13 psi", "fork_compression": "1", "fork_rebound": "2"}, "damping; of the"),
        ({"front_tyre": "26 psi"}, "the tyre, as nothing else measured here"),
        ({"front_tyre": "10 psi"}, "neither: by what was measured"),
        ({}, "nothing measured at this end"),
    ],
)
def test_tyre_or_damping_in_one_sentence(values: dict[str, str], said: str) -> None:
    case = case_of(None, **values)
    assert tyre_or_damping(case, answer_end(case, FRONT, draws=16)).startswith(said)


@pytest.mark.long
def test_the_same_values_give_the_same_answer() -> None:
    given = known(front_tyre="22 psi", fork_compression="4 clicks")
    first, second = (harshness_document(given, build_case(given)) for _ in range(2))
    assert first == second


def test_what_ifs_name_the_change_and_go_the_right_way() -> None:
    case = case_of(front_tyre="25 psi", front_gap="25 mm", bled_at="0 m", ridden_at="2000 m")
    changes = {change.title: change for change in what_ifs(case, FRONT)}
    assert {"two psi out", "tyre to 12.5 psi", "compression four clicks out", "bled"} <= set(
        changes
    )
    clamps = changes["clamps to spec, friction as standard"].over("small chop")
    assert clamps.change.middle < 0.0
    assert changes["two psi out"].over("square edge").change.middle < 0.0
    best = changes["all as it should be"].over("square edge").change.middle
    assert best == min(change.over("square edge").change.middle for change in changes.values())


def test_an_end_as_it_should_be_has_no_faults_to_put_right() -> None:
    titles = [change.title for change in what_ifs(case_of(rear_tyre="12.5 psi"), REAR)]
    assert titles == [
        "two psi out", "low-speed compression four clicks out", "high-speed half a turn out",
        "rebound four clicks out",
    ]  # fmt: skip


def test_bottoming_is_told_from_harshness() -> None:
    """Harsh on landings though nothing is stiff: the travel is used up."""
    sunk = case_of(rear_sag="160 mm", shock_low_speed="30", shock_high_speed="4")
    assert "landing" in answer_end(sunk, REAR, draws=1).bottomed
    assert not answer_end(case_of(rear_tyre="20 psi"), REAR, draws=1).bottomed


def test_curves_pass_through_the_bike_as_measured() -> None:
    case = case_of(front_tyre="25 psi", fork_compression="8 clicks")
    pressure, clicks = curves(case, FRONT)
    assert pressure.now == pytest.approx(25.0)
    edge = clicks.harshness["square edge"]
    expected = 100 * (1 + first_number(case, FRONT))
    assert edge[clicks.values.index(8.0)] == pytest.approx(expected, abs=0.01)
    assert pressure.harshness["square edge"][-1] > pressure.harshness["square edge"][0]
    assert edge[0] > edge[-1]


def test_the_live_budget_has_all_groups_from_two_obstacles() -> None:
    answer = live_budget(case_of(front_tyre="22 psi", fork_compression="4 clicks"), FRONT)
    assert answer.groups is not None
    assert set(answer.groups) == set(GROUPS)
    assert len(answer.budget.obstacles) == 2


def test_the_document_says_what_was_assumed() -> None:
    given = known(targets={"front-tyre": "13 psi"}, front_tyre="25 psi")
    document = harshness_document(given, build_case(given))
    values = {item.name: item for item in document.values}
    assert values["front-tyre"].target_source == "as given"
    assert values["fork-rebound"].measured is None
    assert "from memory" in values["fork-rebound"].target_source
    assert [end.end for end in document.ends] == ["front"]
    assert document.computed_by == "diagnose.physics.budget"


_TEXT = st.one_of(
    st.floats(-400, 400).map(lambda number: f"{number:.2f}"),
    st.sampled_from(["", "?", "-", "25 psi", "1e9", "0", "300 mm", "9" * 61, "12 clicks", "K"]),
)


@settings(max_examples=60, deadline=None)
@given(st.dictionaries(st.sampled_from([*VALUES, *PLACES]), _TEXT, max_size=5))
def test_any_values_make_a_case_or_a_message(texts: dict[str, str]) -> None:
    try:
        given = KnownValues({name: read_value(name, text) for name, text in texts.items()})
        case = build_case(given)
        for end in End:
            assert math.isfinite(first_number(case, end))
    except BadInput as error:
        assert len(str(error)) > 10
