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
from diagnose.harshness.said import bottoming, caution, factor_label, rim_line, tyre_or_damping
from diagnose.harshness.shares import GROUPS, answer_end, evidence_shares, first_number
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
    assert first_number(other, FRONT)[1] == pytest.approx(0.0)


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
def test_a_hard_tyre_is_plainly_harsher(hard: str, soft: str) -> None:
    """25 to 30 psi against 12 to 13 psi: common practice says plainly; here two felt steps or more
    on the worst ride, which is one of small bumps."""
    ride, extra = first_number(case_of(targets={"front-tyre": soft}, front_tyre=hard), FRONT)
    assert ride == "small chop"
    assert extra > 0.21


def test_the_first_number_is_the_answers_own() -> None:
    case = case_of(front_tyre="25 psi", fork_compression="6 clicks")
    answer = answer_end(case, FRONT)
    quick = answer_end(case, FRONT, quick=True)
    ride, extra = first_number(case, FRONT)
    assert ride == answer.worst == quick.worst == answer.over
    assert extra == pytest.approx(answer.worse(ride).middle)
    assert extra == pytest.approx(answer.budget.excess / answer.budget.target)
    assert extra == pytest.approx(quick.worse(ride).middle)


def test_the_worst_ride_is_the_worst_of_twelve() -> None:
    """A mean would hide what shows on one kind of ground."""
    answer = answer_end(case_of(fork_compression="0 clicks"), FRONT)
    steps = {ride: answer.steps(ride).middle for ride in answer.survey.names}
    assert len(steps) == 12
    assert max(steps, key=lambda ride: steps[ride]) == answer.worst == "smooth ground"
    assert steps["smooth ground"] > 1.5
    assert steps["rough ground"] < 0.5


def test_shares_of_what_makes_it_harsher_add_up() -> None:
    case = case_of(front_tyre="22 psi", fork_compression="4 clicks", front_gap="25 mm")
    answer = answer_end(case, FRONT, quick=True)
    assert answer.groups is not None
    assert set(answer.groups) == set(GROUPS)
    assert sum(part.middle for part in answer.groups.values()) == pytest.approx(1.0)
    assert sum(share.value for share in answer.budget.shares) == pytest.approx(answer.budget.excess)
    assert set(answer.differing) == {
        Factor.TYRE_PRESSURE, Factor.LOW_SPEED_COMPRESSION, Factor.FRICTION,
    }  # fmt: skip


def test_what_softens_has_no_share_but_says_how_much() -> None:
    """A hard tyre with the compression wide open."""
    case = case_of(front_tyre="25 psi", fork_compression="24 clicks")
    parts = answer_end(case, FRONT).parts
    assert parts is not None
    tyre, clicks = parts[Factor.TYRE_PRESSURE], parts[Factor.LOW_SPEED_COMPRESSION]
    assert tyre.share is not None
    assert (tyre.share.low, tyre.share.middle, tyre.share.high) == (1.0, 1.0, 1.0)
    assert clicks.share is None
    assert clicks.effect.high < 0.0


def test_shares_are_of_the_ride_asked_about() -> None:
    case = case_of(front_tyre="22 psi", front_gap="25 mm")
    worst, asked = (answer_end(case, FRONT, over, quick=True) for over in (None, "exit rollers"))
    assert asked.over == "exit rollers"
    assert asked.worst == worst.over == "small chop"
    assert worst.groups is not None
    assert asked.groups is not None
    assert worst.groups["the tyre"].middle > 0.5 > asked.groups["the tyre"].middle


@pytest.mark.parametrize(
    "values",
    [
        {"rear_sag": "95 mm", "shock_rebound": "11", "shock_low_speed": "13"},
        {"rear_sag": "160 mm", "shock_low_speed": "30", "rear_tyre": "13 psi"},
        {"rear_tyre": "14 psi", "shock_high_speed": "2.5 turns", "rear_gap": "9 mm"},
        {"front_tyre": "12.4 psi", "fork_oil": "115 mm", "fork_rebound": "11"},
    ],
)
def test_no_range_is_absurd(values: dict[str, str]) -> None:
    """A share runs from 0 to 100 % and a rise stays within reason, however little is wrong."""
    case = case_of(None, **values)
    end = next(end for end in End if case.any_measured(end))
    answer = answer_end(case, end)
    for ride in answer.survey.names:
        extra = answer.worse(ride)
        assert -0.6 < extra.low <= extra.high < 0.6, ride
    for part in (answer.parts or {}).values():
        assert part.share is None or 0.0 <= part.share.low <= part.share.high <= 1.0


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"front_tyre": "26 psi", "fork_compression": "10"}, "the tyre; of the extra"),
        ({"front_tyre": "13 psi", "fork_compression": "1", "fork_rebound": "2"}, "damping; of the"),
        (
            {"front_tyre": "26 psi"},
            "the tyre; only that was measured, what was not measured could add",
        ),
        ({"front_tyre": "12.6 psi"}, "neither: nothing here makes it harsher on any ride"),
        ({"fork_oil": "80 mm"}, "neither: nothing here makes it shake more on any ride"),
        ({"fork_clamps": "24 N·m"}, "over-tight clamps; only that was measured"),
        ({"front_gap": "25 mm"}, "friction; only that was measured"),
        ({}, "nothing measured at this end"),
    ],
)
def test_tyre_or_damping_in_one_sentence(values: dict[str, str], said: str) -> None:
    case = case_of(None, **values)
    assert tyre_or_damping(case, answer_end(case, FRONT)).startswith(said)


def test_what_is_measured_and_right_is_told_from_what_is_not_measured() -> None:
    case = case_of(None, front_tyre="26 psi", fork_compression="12")
    said = tyre_or_damping(case, answer_end(case, FRONT, quick=True))
    assert said == (
        "the tyre; the rest of what was measured is right, what was not measured could add to it."
    )


@pytest.mark.parametrize(("psi", "good"), [("19 psi", "no fault"), ("6 psi", "less spare")])
def test_the_edge_that_meets_the_rim_says_which_way_is_good(psi: str, good: str) -> None:
    said = rim_line(answer_end(case_of(front_tyre=psi), FRONT, quick=True).rim)
    assert f"as it should be 65; higher is safer ({good}" in said
    assert rim_line(answer_end(case_of(fork_rebound="11"), FRONT, quick=True).rim) == ""


def test_shares_are_shown_only_above_noise() -> None:
    """A click in: nothing to share out, and it says so."""
    answer = answer_end(case_of(fork_rebound="11.5"), FRONT)
    assert answer.parts is None
    assert answer.groups is None


def test_a_stiff_spring_is_felt_as_force_and_height() -> None:
    """Hardly as vibration: the peak of a hit grows with the root of stiffness."""
    case = case_of(fork_spring="5.4 N/mm")
    answer = answer_end(case, FRONT)
    assert answer.steps(answer.worst).middle < 1.0
    assert {sense.name for sense in answer.felt_otherwise} >= {"deep", "height"}
    said = tyre_or_damping(case, answer)
    assert (
        "less than a rider can be sure to feel; but it is felt otherwise: force two thirds down"
        in said
    )


def test_the_worst_ride_does_not_hide_what_leads_on_another() -> None:
    """A hard tyre is worst in chop; on the brakes it is the high-speed adjuster that is felt."""
    case = case_of(rear_tyre="15.5 psi", shock_high_speed="0 turns")
    answer = answer_end(case, REAR)
    assert answer.worst == "small chop"
    assert answer.elsewhere is not None
    ride, leads = answer.elsewhere
    assert leads == "damping"
    assert answer.steps(ride).middle >= 1.0
    assert f" On {ride}, " in tyre_or_damping(case, answer)
    assert tyre_or_damping(case, answer).endswith("damping leads.")
    assert answer_end(case_of(rear_tyre="15.5 psi"), REAR).elsewhere is None


def test_friction_is_named_by_what_was_found() -> None:
    """Clamps only where their torque was read; never behind."""
    tight, gap = case_of(fork_clamps="20 N·m"), case_of(front_gap="25 mm")
    both, rear = case_of(fork_clamps="20 N·m", front_gap="25 mm"), case_of(rear_gap="25 mm")
    named = [factor_label(Factor.FRICTION, case, FRONT) for case in (tight, gap, both)]
    assert named == ["over-tight clamps", "friction", "over-tight clamps"]
    assert factor_label(Factor.FRICTION, rear, REAR) == "friction"


def test_a_gap_that_was_read_holds_what_the_clamps_add() -> None:
    setup = case_of(fork_clamps="24 N·m", front_gap="25 mm").setups(FRONT)[0]
    assert setup.clamp_friction == 0.0
    told = {"fork-clamps": "12 N·m"}
    twice = case_of(told, fork_clamps="24 N·m").setups(FRONT)[0]
    assert twice.clamp_friction == pytest.approx(90.0)
    assert case_of(fork_clamps="9 N·m").setups(FRONT)[0].clamp_friction == 0.0


def test_a_gap_is_friction_by_hand() -> None:
    """Half the gap times the rate: 22 mm along the leg, 11.9 N/mm upright, 116 N."""
    setup = case_of(front_gap="22 mm").setups(FRONT)[0]
    assert setup.friction == pytest.approx(0.5 * 0.022 * 0.890 * 11_861, rel=0.005)


def test_2000_metres_are_30_and_a_half_kilopascal_by_hand() -> None:
    """Bled at the sea at 20 °C, at 2,000 m with the leg at 45 °C: 101.325 · 318.15 / 293.15 - 79.495."""
    case = case_of(
        bled_at="0 m", bled_temperature="20 °C", fork_temperature="45 °C", ridden_at="2000 m"
    )
    assert case.setups(FRONT)[0].trapped_pressure == pytest.approx(30_470, abs=20)


def test_a_tyre_too_soft_is_warned_of_before_anything_else() -> None:
    """6 psi softens small bumps; the rim, the tube and the edge it is met on are said."""
    case = case_of(front_tyre="6 psi")
    answer = answer_end(case, FRONT, quick=True)
    said = caution(case, answer)
    assert said is not None
    assert "tyre too soft. The rim is met on an edge of 50 mm, not 65." in said
    assert "pump it up before riding" in said
    for right in ("10 psi", "12.5 psi", "19 psi"):
        fine = case_of(front_tyre=right)
        assert caution(fine, answer_end(fine, FRONT, quick=True)) is None


def test_by_a_rule_of_thumb_a_tyre_as_bikes_of_the_kind_have_it_only_may_be_too_soft() -> None:
    """8 psi is built for; the manual's 12.5 makes it too soft, its 8 makes it right."""
    by_thumb = case_of(front_tyre="8 psi")
    said = caution(by_thumb, answer_end(by_thumb, FRONT, quick=True))
    assert said is not None
    assert said.startswith("the tyre may be too soft; 12.5 psi is only a rule of thumb.")
    for manual, warned in (("12.5 psi", "tyre too soft."), ("8 psi", None)):
        given = case_of({"front-tyre": manual}, front_tyre="8 psi")
        said = caution(given, answer_end(given, FRONT, quick=True))
        assert (said or "").startswith(warned or "") and bool(said) is bool(warned)


def test_a_soft_spring_is_no_soft_tyre() -> None:
    soft = case_of(front_tyre="12.5 psi", fork_spring="3 N/mm", front_sag="95 mm")
    assert caution(soft, answer_end(soft, FRONT, quick=True)) is None


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
    freed = changes["what drags found and freed"].over("small chop")
    assert freed.change.middle < 0.0
    assert changes["bled"].over("exit chop").change.high < 0.0
    assert changes["two psi out"].over("square edge").change.middle < 0.0
    best = changes["all as it should be"].over("square edge").change.middle
    assert best == min(change.over("square edge").change.middle for change in changes.values())


def test_clamps_are_set_to_their_own_torque() -> None:
    changes = {change.title for change in what_ifs(case_of(fork_clamps="24 N·m"), FRONT)}
    torque = VALUES["fork-clamps"].standard
    assert f"lower clamps to {torque}" in changes
    assert "what drags found and freed" not in changes


@pytest.mark.parametrize("psi", ["4 psi", "6 psi", "11 psi", "12.5 psi", "14 psi"])
def test_no_what_if_lets_a_tyre_down_below_what_it_should_be(psi: str) -> None:
    """At 14 psi two out would be 12, where 12.5 should be."""
    titles = [change.title for change in what_ifs(case_of(front_tyre=psi), FRONT)]
    assert "two psi out" not in titles
    assert ("tyre to 12.5 psi" in titles) == (psi != "12.5 psi")


def test_an_end_as_it_should_be_has_no_faults_to_put_right() -> None:
    titles = [change.title for change in what_ifs(case_of(rear_tyre="12.5 psi"), REAR)]
    assert titles == [
        "low-speed compression four clicks out", "high-speed half a turn out",
        "rebound four clicks out",
    ]  # fmt: skip


def test_bottoming_is_told_from_harshness() -> None:
    """Harsh on landings though nothing is stiff: the travel is used up."""
    sunk = case_of(rear_sag="160 mm", shock_low_speed="30", shock_high_speed="4")
    found = answer_end(sunk, REAR, quick=True)
    assert "landing" in found.survey.bottomed
    assert "on landing all of the travel is used" in " ".join(bottoming(found))
    assert not answer_end(case_of(rear_tyre="20 psi"), REAR, quick=True).survey.bottomed


def test_curves_pass_through_the_bike_as_measured() -> None:
    case = case_of(front_tyre="25 psi", fork_compression="8 clicks")
    ride, extra = first_number(case, FRONT)
    pressure, clicks = curves(case, FRONT, (ride,))
    assert pressure.now == pytest.approx(25.0)
    line = clicks.harshness[ride]
    assert line[clicks.values.index(8.0)] == pytest.approx(100 * (1 + extra), abs=0.01)
    assert pressure.harshness[ride][-1] > pressure.harshness[ride][0]
    assert line[0] > line[-1]


def test_evidence_divides_by_group_over_three_rides() -> None:
    shares = evidence_shares(case_of(front_tyre="22 psi", fork_compression="4 clicks"), FRONT)
    assert shares is not None
    assert set(shares) == set(GROUPS)
    assert sum(shares.values()) == pytest.approx(1.0)
    assert shares["the tyre"] > shares["damping"] > 0.0
    assert evidence_shares(case_of(front_tyre="12 psi"), FRONT) is None


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
            assert math.isfinite(first_number(case, end)[1])
    except BadInput as error:
        assert len(str(error)) > 10
