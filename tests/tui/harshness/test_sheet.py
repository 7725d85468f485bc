"""The values behind the harshness screen, and what is worked out from them, without a screen."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.case.events import Answered, Case
from diagnose.harshness.compared_bike import build_case
from diagnose.harshness.curves import curves
from diagnose.harshness.live import RIDES, Asked, LiveBudget, Superseded
from diagnose.harshness.values import VALUES, End, KnownValues, questions
from rules.problems import BadInput
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity
from tui.harshness.harsh_lines import basis_lines, model_words, safe_lines
from tui.harshness.value_rows import rows
from tui.harshness.value_sheet import Sheet, sheet_of
from tui.terminal.glyphs import ASCII, UNICODE

MakeCase = Callable[..., Case]


def sheet(end: End = End.FRONT, **values: str) -> Sheet:
    """`sheet(front_tyre="25 psi")`."""
    made = Sheet(end=end)
    for name, text in values.items():
        made = made.typed(name.replace("_", "-"), text)
    return made


def asked(made: Sheet, value: str, over: str = "square edge") -> Asked:
    return Asked(made.known, made.end, over, value)


# -- steps ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "typed", "by", "becomes"),
    [
        ("front-tyre", None, 1, "13.5 psi"),
        ("front-tyre", "1.7 bar", -1, "1.65 bar"),
        ("front-tyre", "100 kPa", 1, "105 kPa"),
        ("fork-compression", None, -1, "11 clicks"),
        ("shock-high-speed", None, 1, "2 turns"),
        ("front-sag", None, 1, "73 mm"),
        ("front-sag", "7 cm", 1, "7.5 cm"),
        ("rear-gap", "20 mm", -1, "15 mm"),
        ("fork-spring", None, 1, "4.8 N/mm"),
        ("shock-spring", None, -1, "54 N/mm"),
        ("trapped-air", None, 1, "5 kPa"),
    ],
)
def test_a_step_is_one_of_the_unit_it_is_written_in(
    name: str, typed: str | None, by: int, becomes: str
) -> None:
    """From the reading, or from what it should be where there is none."""
    made = Sheet() if typed is None else Sheet().typed(name, typed)
    assert str(made.stepped(name, by).measured(name)) == becomes


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(list(VALUES)), st.lists(st.sampled_from([-1, 1]), max_size=12))
def test_steps_back_undo_steps_forth(name: str, steps: list[int]) -> None:
    """No step drifts, whatever its size; a refused step changes nothing."""
    made, done = Sheet().typed(name, VALUES[name].standard), 0
    start = made.measured(name)
    for by in steps:
        try:
            made = made.stepped(name, by)
        except BadInput:
            continue
        done += by
    for _ in range(abs(done)):
        made = made.stepped(name, -1 if done > 0 else 1)
    assert start is not None
    assert (made.measured(name) or start).value == pytest.approx(start.value, abs=1e-6)


@pytest.mark.parametrize(
    ("name", "at", "by", "message"),
    [
        ("fork-compression", "0 clicks", -1, "between 0 and 60 clicks"),
        ("front-tyre", "80 psi", 1, "between 0 and 80 psi"),
        ("trapped-air", "-99 kPa", -1, "below a vacuum"),
    ],
)
def test_what_cannot_be_is_refused_with_what_can(name: str, at: str, by: int, message: str) -> None:
    made = Sheet().typed(name, at)
    with pytest.raises(BadInput, match=message):
        made.stepped(name, by)


def test_the_manuals_figure_comes_and_goes() -> None:
    made = Sheet().typed_target("front-tyre", "14 psi")
    assert (str(made.target("front-tyre")), made.is_thumb("front-tyre")) == ("14 psi", False)
    back = made.by_thumb("front-tyre")
    assert (str(back.target("front-tyre")), back.is_thumb("front-tyre")) == ("12.5 psi", True)


# -- from a case ---------------------------------------------------------------------------------


def test_the_readings_of_a_case_are_taken(offroad: RuleBase, make_case: MakeCase) -> None:
    case = make_case(
        offroad, "harsh/front", front_tyre_gauge="25 psi", fork_compression_clicks="8",
        height_gained_since_bleed="1500 m",
    )  # fmt: skip
    made = sheet_of(offroad, case)
    assert made.end is End.FRONT
    assert str(made.measured("front-tyre")) == "25 psi"
    assert str(made.measured("fork-compression")) == "8 clicks"
    climbed = KnownValues({"bled-at": Quantity(0.0, "m"), "ridden-at": Quantity(1500.0, "m")})
    by_height = build_case(climbed).setups(End.FRONT)[0]
    as_pressure = build_case(made.known).setups(End.FRONT)[0]
    assert as_pressure.trapped_pressure == pytest.approx(by_height.trapped_pressure)
    assert as_pressure.air_pressure == by_height.air_pressure


def test_readings_at_the_rear_alone_open_the_rear(offroad: RuleBase, make_case: MakeCase) -> None:
    case = make_case(offroad, "harsh", rear_tyre_gauge="20 psi")
    assert sheet_of(offroad, case).end is End.REAR
    assert sheet_of(offroad, make_case(offroad, "harsh/rear")).end is End.REAR


def test_targets_are_those_of_the_bike_and_marked_where_they_are_a_rule_of_thumb(
    offroad: RuleBase, make_case: MakeCase
) -> None:
    trait = offroad.specs["front-tyre-pressure"].by
    assert trait is not None
    case = make_case(offroad, "harsh/front", machine={trait: "trail"})
    made = sheet_of(offroad, case)
    assert (str(made.target("front-tyre")), made.is_thumb("front-tyre")) == ("18 psi", True)
    assert made.by_thumb("front-tyre") == made
    back = made.typed_target("front-tyre", "13 psi").by_thumb("front-tyre")
    assert back == made
    basis = " ".join(basis_lines(build_case(made.typed("front-tyre", "20").known)))
    assert "front tyre 18 psi (rule of thumb for this kind of bike" in basis
    given_figure = Case(case.machine, {"front-tyre-pressure": Quantity(13.0, "psi")}, case.events)
    made = sheet_of(offroad, given_figure)
    assert (str(made.target("front-tyre")), made.is_thumb("front-tyre")) == ("13 psi", False)
    back = made.by_thumb("front-tyre")
    assert (str(back.target("front-tyre")), back.is_thumb("front-tyre")) == ("18 psi", True)


def test_a_reading_that_cannot_be_and_one_that_does_not_apply_are_left_out(
    offroad: RuleBase, make_case: MakeCase
) -> None:
    case = make_case(offroad, "harsh/front", fork_compression_clicks="8")
    case = case.with_event(Answered("front-tyre-gauge", reading=Quantity(200.0, "psi")))
    made = sheet_of(offroad, case, frozenset({"fork-compression-clicks"}))
    assert not made.known.measured


def test_clamp_torque_and_oil_level_come_from_the_case(
    offroad: RuleBase, make_case: MakeCase
) -> None:
    made = sheet_of(
        offroad,
        make_case(
            offroad, "harsh/front", lower_clamp_torque_found="20 N·m",
            fork_oil_level_measured="90 mm",
        ),
    )  # fmt: skip
    assert str(made.known.measured["fork-clamps"]) == "20 N·m"
    assert str(made.known.measured["fork-oil"]) == "90 mm"


def test_another_machine_has_no_readings(mower: RuleBase, make_case: MakeCase) -> None:
    made = sheet_of(mower, make_case(mower, "no-start"))
    assert (made.known.measured, made.known.targets, made.end) == ({}, {}, End.FRONT)


# -- working it out ------------------------------------------------------------------------------


@pytest.mark.parametrize("over", ["small chop", "square edge"])
def test_the_quick_answer_has_the_best_guess_of_the_thorough_one(over: str) -> None:
    made = sheet(front_tyre="25 psi", fork_compression="8", front_gap="20 mm")
    question = asked(made, "front-tyre", over)
    live = LiveBudget()
    quick, thorough = live.quick(question), live.thorough(question)
    assert (quick.rough, thorough.rough) == (True, False)
    assert live.quick(question).rough is False
    rough, fine = quick.answer.parts, thorough.answer.parts
    assert rough is not None and fine is not None
    assert {f: p.effect.middle for f, p in rough.items()} == pytest.approx(
        {f: p.effect.middle for f, p in fine.items()}
    )
    assert quick.answer.worse(over).middle == pytest.approx(thorough.answer.worse(over).middle)


@pytest.mark.parametrize("over", ["small chop", "square edge"])
def test_curves_are_those_of_the_command(over: str) -> None:
    made = sheet(front_tyre="25 psi", fork_compression="8")
    case = build_case(made.known)
    for name, theirs in zip(
        ("front-tyre", "fork-compression"), curves(case, made.end, (over,)), strict=True
    ):
        ours = LiveBudget().quick(asked(made, name, over)).curve
        assert ours.values == pytest.approx(theirs.values, rel=1e-5)
        assert ours.now == pytest.approx(theirs.now)
        assert ours.harshness[over] == pytest.approx(theirs.harshness[over], rel=1e-5)


@pytest.mark.long
@pytest.mark.parametrize("end", list(End))
def test_every_value_has_a_curve_through_the_answer(end: End) -> None:
    """Where the curve passes the value as it is, it says what the budget says."""
    made = sheet(end, front_tyre="20 psi", rear_tyre="20 psi")
    live = LiveBudget()
    for name in made.names:
        told = live.quick(asked(made, name))
        curve, now = told.curve, told.answer.budget
        assert list(curve.values) == sorted(curve.values)
        assert len(curve.values) > 10
        line = curve.harshness["square edge"]
        assert min(line) - 1 <= 100 * now.measured / now.target <= max(line) + 1, name


def test_every_ride_can_be_asked_about() -> None:
    made = sheet(front_tyre="25 psi")
    live = LiveBudget()
    for over in RIDES:
        told = live.quick(asked(made, "front-tyre", over))
        assert told.answer.over == told.answer.budget.obstacle == over
        assert told.sentence


def test_a_sag_beyond_the_travel_is_refused() -> None:
    made = sheet(front_sag="2 mm")
    with pytest.raises(BadInput, match="into its travel"):
        LiveBudget().quick(asked(made, "front-sag"))


def test_a_surprising_value_of_this_end_is_asked_back() -> None:
    made = sheet(front_tyre="45 psi", rear_tyre="45 psi")
    checks = LiveBudget().quick(asked(made, "front-tyre")).checks
    assert [check.split()[0] for check in checks if "usual" in check] == ["front-tyre"]


@pytest.mark.parametrize(
    ("traits", "lacking", "there"),
    [
        ({"fork": "air"}, {"fork-spring", "fork-oil"}, {"trapped-air", "front-tyre"}),
        ({"fork": "coil-closed-quantity"}, {"fork-oil"}, {"fork-spring"}),
        ({"tyre-filling": "mousse"}, {"front-tyre"}, {"fork-oil"}),
        ({"electronics": "fitted"}, {"fork-compression", "fork-rebound"}, {"front-gap"}),
        ({}, set(), {"fork-spring", "fork-oil", "front-tyre", "fork-compression"}),
    ],
)
def test_parts_that_the_bike_has_not_are_not_listed(
    offroad: RuleBase,
    make_case: MakeCase,
    traits: dict[str, str],
    lacking: set[str],
    there: set[str],
) -> None:
    made = sheet_of(offroad, make_case(offroad, "harsh/front", machine=traits))
    assert there <= set(made.names)
    assert not lacking & set(made.names)
    basis = " ".join(basis_lines(build_case(made.stepped("front-gap", 1).known)))
    missing = basis.partition("Not measured")[2].partition("A fault there")[0]
    assert not any(name.replace("-", " ") in missing for name in lacking)


def test_the_stand_in_is_of_the_kind_of_bike(offroad: RuleBase, make_case: MakeCase) -> None:
    """Its springs too: what a heavy bike has is not called too stiff."""
    full, loaded = (
        sheet_of(offroad, make_case(offroad, "harsh/front", machine={"class": kind}))
        for kind in ("full-size", "adventure")
    )
    axle, usual = (build_case(made.known).axle(End.FRONT) for made in (loaded, full))
    assert axle.sprung_mass > 1.5 * usual.sprung_mass
    assert axle.travel < usual.travel
    assert loaded.target("fork-spring").value > 2.0 * full.target("fork-spring").value
    assert loaded.is_thumb("fork-spring")
    same = build_case(loaded.typed("fork-spring", str(loaded.target("fork-spring"))).known)
    measured, target = same.setups(End.FRONT)
    assert measured == target
    basis = " ".join(basis_lines(build_case(loaded.stepped("front-gap", 1).known)))
    assert "The bike: a stand-in of a loaded adventure bike, rider 90 kg" in basis
    assert "a full-size stand-in" not in basis
    said = model_words(loaded.known, End.FRONT)
    assert said.startswith("Model: loaded adventure bike, rider 90 kg; shows which fault leads")
    air = sheet_of(offroad, make_case(offroad, "harsh/front", machine={"fork": "air-single"}))
    assert "counts as a coil one" in model_words(air.known, End.FRONT)
    assert "coil" not in model_words(air.known, End.REAR)


@pytest.mark.parametrize("kind", ["mini", "trail", "adventure", "trials", "supermoto"])
@pytest.mark.parametrize("end", list(End))
def test_a_hard_tyre_leads_and_nothing_bottoms_on_any_kind_of_bike(
    offroad: RuleBase, make_case: MakeCase, kind: str, end: End
) -> None:
    """Landings made for a full-size bike use up less travel, but that is no fault of this one."""
    made = sheet_of(offroad, make_case(offroad, f"harsh/{end}", machine={"class": kind}))
    tyre = f"{end}-tyre"
    figure = made.target(tyre)
    made = made.typed(tyre, f"{1.5 * figure.value} {figure.unit}")
    answer = LiveBudget().quick(Asked(made.known, end, None, tyre)).answer
    assert answer.worse(answer.worst).middle > 0.05
    assert not answer.survey.bottomed
    assert answer.rim.measured is not None and answer.rim.target is not None
    assert answer.rim.measured > answer.rim.target


@pytest.mark.parametrize(
    ("kind", "reading", "doubted"),
    [
        ("adventure", "36 psi", False),
        ("adventure", "45 psi", False),
        ("adventure", "8 psi", True),
        ("trials", "4 psi", False),
        ("trials", "25 psi", True),
        ("full-size", "25 psi", False),
        ("full-size", "36 psi", True),
    ],
)
def test_what_is_usual_is_that_of_the_kind_of_bike(
    offroad: RuleBase, make_case: MakeCase, kind: str, reading: str, doubted: bool
) -> None:
    case = make_case(offroad, "harsh/front", machine={"class": kind}, front_tyre_gauge=reading)
    known = sheet_of(offroad, case).known
    doubts = [line for line in questions(known) if line.startswith("front-tyre")]
    assert bool(doubts) == doubted
    low, high = known.usual["front-tyre"]
    ends = f"{low.value:.3g} to {high.value:.3g} psi is usual for this kind of bike"
    assert all(ends in line for line in doubts)


@pytest.mark.parametrize("observed", [True, False])
def test_the_manuals_figure_is_never_doubted(
    offroad: RuleBase, make_case: MakeCase, observed: bool
) -> None:
    """Whether looked up in the case or typed here."""
    if observed:
        case = make_case(
            offroad, "harsh/front", front_tyre_gauge="40 psi", manual_front_tyre_pressure="40 psi"
        )
        made = sheet_of(offroad, case)
    else:
        made = sheet(front_tyre="40 psi").typed_target("front-tyre", "40 psi")
    assert str(made.target("front-tyre")) == "40 psi"
    assert not made.is_thumb("front-tyre")
    assert not list(questions(made.known))
    doubt = " ".join(questions(made.typed("front-tyre", "70 psi").known))
    assert "to 40 psi is usual" in doubt


@pytest.mark.parametrize(
    ("low", "high", "drawn"),
    [(0.5, 0.8, "#####===--"), (-0.2, 0.3, "===-------"), (-0.4, -0.1, "----------"), (0.9, 1.3, "#########=")],
)  # fmt: skip
def test_a_range_is_told_from_what_is_sure(low: float, high: float, drawn: str) -> None:
    assert "".join(ASCII.range_bar(low, high, 10)) == drawn
    assert len("".join(UNICODE.range_bar(low, high, 10))) == 10


def test_a_bare_number_is_in_the_unit_of_what_it_should_be() -> None:
    made = Sheet().typed_target("front-tyre", "0.9 bar")
    assert made.typed("front-tyre", "1,2").measured("front-tyre") == Quantity(1.2, "bar")
    assert made.typed("front-tyre", "13 psi").measured("front-tyre") == Quantity(13.0, "psi")
    assert made.typed_target("front-tyre", "1").target("front-tyre") == Quantity(1.0, "bar")
    assert Sheet().typed("front-tyre", "13").measured("front-tyre") == Quantity(13.0, "psi")


def test_the_curve_is_in_the_unit_of_what_it_should_be() -> None:
    """And shows the same."""
    psi = sheet(front_tyre="1.7 bar").typed_target("front-tyre", "13 psi")
    bar = psi.typed_target("front-tyre", f"{Quantity(13.0, 'psi').to('bar').value!r} bar")
    curve, same = (LiveBudget().quick(asked(made, "front-tyre")).curve for made in (bar, psi))
    assert (curve.unit, same.unit) == ("bar", "psi")
    assert curve.now == pytest.approx(1.7)
    in_psi = [Quantity(size, "bar").to("psi").value for size in curve.values]
    assert in_psi == pytest.approx(same.values)
    assert curve.harshness["square edge"] == pytest.approx(same.harshness["square edge"])


def test_the_curve_of_a_tyre_marks_where_it_is_safe() -> None:
    """From where the caution ends, whatever is measured; in the columns of the curve."""
    made = sheet(front_tyre="25 psi")
    curve = LiveBudget().quick(asked(made, "front-tyre")).curve
    assert curve.safe is not None
    low, high = curve.safe
    for psi, warned in ((low - 1.0, True), (low + 0.1, False)):
        told = LiveBudget().quick(asked(sheet(front_tyre=f"{psi:.2f} psi"), "front-tyre"))
        assert (told.caution is not None) == warned, psi
        assert told.curve.safe == curve.safe
    ruler, words = safe_lines(curve)
    assert f" safe {low:.3g} to {high:.3g} psi " in ruler
    assert "rim met" in ruler.partition("=")[0] or ruler.startswith(" !")
    assert "too hard" in ruler
    assert f"below {low:.3g} low edges meet the rim" in words
    assert max(len(ruler), len(words)) <= 78
    assert LiveBudget().quick(asked(made, "fork-compression")).curve.safe is None


@pytest.mark.parametrize("thorough", [False, True])
def test_work_that_is_no_longer_asked_for_is_dropped(thorough: bool) -> None:
    """Between two parts of it; nothing half done is remembered."""
    question, live = asked(sheet(front_tyre="25 psi"), "front-tyre"), LiveBudget()
    answers = iter([True])
    with pytest.raises(Superseded):
        (live.thorough if thorough else live.quick)(question, lambda: next(answers, False))
    assert live.quick(question).rough


def test_the_first_number_is_that_of_the_answer_which_goes_on_from_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    question, live = asked(sheet(front_tyre="25 psi"), "front-tyre"), LiveBudget()
    ride, extra = live.first(question)
    monkeypatch.setattr("diagnose.harshness.shares.surveyed", None)
    told = live.quick(question)
    assert ride == told.answer.over
    assert extra == pytest.approx(told.answer.worse(ride).middle)


def test_rows_of_one_factor_share_one_share() -> None:
    """A clamp's torque beside a gap that was read stands with the gap."""
    made = sheet(front_gap="25 mm", fork_clamps="20 N·m")
    told = LiveBudget().quick(Asked(made.known, made.end, None, "front-gap"))
    drawn = [row.plain for row in rows(made, told.answer.parts, ASCII, 78)]
    by_label = {line[:23].strip(): line for line in drawn}
    assert "100 %" in by_label["Friction gap"]
    assert "with the gap" in by_label["Lower clamp torque"]


def test_what_softens_says_how_much() -> None:
    made = sheet(front_tyre="25 psi", fork_compression="24")
    told = LiveBudget().thorough(Asked(made.known, made.end, None, "front-tyre"))
    drawn = "\n".join(row.plain for row in rows(made, told.answer.parts, ASCII, 78))
    assert re.search(r"Compression .*softens \d+ % \(\d+ to \d+\)", drawn)
