"""A trainee with a customer's bike."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Complained, Rode
from diagnose.simulation.simulated_bike import GivenFacts, Truth
from diagnose.training.customers.guide import Guide
from diagnose.training.customers.scenario import draw_scenario
from diagnose.training.habits.trainees import Advised, AtRandom, work
from diagnose.training.play.encounter import Encounter
from diagnose.training.play.moves import (
    Correct,
    HandBack,
    HandOver,
    Move,
    Observe,
    Recheck,
    RideMove,
    move_from_json,
    move_to_json,
)
from rules.problems import BadInput

PETROL = {"engine": "petrol", "size": "small"}
Begin = Callable[..., Encounter]


@pytest.fixture
def begin(mower_assessor: Assessor, mower_guide: Guide) -> Begin:
    """Begin a case with a known truth: `begin("stale-fuel", tank_look="stale")`."""

    def made(*causes: str, complaint: str = "no-start", seed: int = 1, **answers: str) -> Encounter:
        name, _, place = complaint.partition("/")
        truth = Truth(causes, Complained(name, place or None), PETROL)
        written = {
            key.replace("_", "-"): Answered(key.replace("_", "-"), state=state)
            for key, state in answers.items()
        }
        scenario = replace(
            draw_scenario(mower_assessor.rules, mower_guide, 0),
            truth=truth,
            complaints=(truth.complaint,),
            bike_seed=seed,
            known=GivenFacts(written),
            told=(),
        )
        return Encounter(mower_assessor, mower_guide, scenario)

    return made


def test_the_truth_is_not_in_what_a_trainee_sees(begin: Begin) -> None:
    encounter = begin("stale-fuel")
    customer = encounter.customer
    seen = " ".join([*customer.words, *customer.bike, *customer.told_lines, customer.rider])
    assert "tale" not in seen
    assert any(said.lower() in seen.lower() for said in ("dead", "won't fire", "pull and nothing"))


def test_the_same_question_twice_gets_the_same_answer_and_costs_twice(begin: Begin) -> None:
    encounter = begin("stale-fuel")
    one = encounter.take(Observe("tank-look"))
    other = encounter.take(Observe("tank-look"))
    assert one.event == other.event
    assert encounter.minutes == 2 * one.minutes > 0


def test_correct_diagnosis_ride_and_hand_back(begin: Begin) -> None:
    encounter = begin("stale-fuel", seed=3, tank_look="stale")
    encounter.take(Observe("tank-look"))
    encounter.take(Correct("fill-up", ("stale-fuel",)))
    ride = encounter.take(RideMove())
    assert ride.event == Rode("gone")
    assert encounter.proven
    encounter.take(HandBack())
    assert encounter.finished and not encounter.failed
    rules = encounter.assessor.rules
    spent = (1 + 0.5) + 5 + rules.policy.ride_minutes
    assert encounter.minutes == pytest.approx(spent)


def test_a_ride_with_nothing_changed_tells_nothing(begin: Begin) -> None:
    encounter = begin("stale-fuel")
    ride = encounter.take(RideMove())
    assert ride.event is None and not encounter.proven
    assert [fault.kind for fault in ride.faults if fault.kind == "order"] == ["order"]


@pytest.mark.parametrize("move", [RideMove(), HandBack()])
def test_a_do_not_ride_that_is_missed_fails_the_case(begin: Begin, move: Move) -> None:
    encounter = begin("blade-bent", complaint="vibration/deck", blade_wobble="yes")
    encounter.take(Observe("blade-wobble"))
    encounter.take(move)
    assert encounter.finished
    assert encounter.failed == "It was known not to be safe to ride: The blade is loose."


def test_riding_before_looking_again_after_the_work_fails_it_too(begin: Begin) -> None:
    encounter = begin("blade-bent", complaint="vibration/deck", blade_wobble="yes")
    encounter.take(Observe("blade-wobble"))
    encounter.take(Correct("new-blade", ("blade-bent",)))
    encounter.take(RideMove())
    assert "was not looked at again after the work: The blade is loose." in encounter.failed


def test_heeding_it_does_not(begin: Begin) -> None:
    encounter = begin("blade-bent", complaint="vibration/deck", blade_wobble="yes")
    encounter.take(Observe("blade-wobble"))
    assert encounter.view().advice.step.constraint == "safety first"
    encounter.take(Correct("new-blade", ("blade-bent",)))
    encounter.take(Observe("blade-wobble"))
    encounter.take(RideMove())
    assert not encounter.failed


def test_cautions_count_as_read_only_before_their_own_step(begin: Begin) -> None:
    encounter = begin("stale-fuel")
    wobble = Observe("blade-wobble")
    assert encounter.cautions(wobble) == ("plug-lead",)
    encounter.read_cautions(wobble)
    asked = encounter.take(Observe("hit-a-stone"))
    assert asked.cautions == () and not asked.faults_of("cautions")
    unread = encounter.take(wobble)
    assert not unread.cautions_read and unread.faults_of("cautions")
    encounter.read_cautions(RideMove())
    assert not encounter.take(RideMove()).faults_of("cautions")


@pytest.mark.parametrize(
    ("move", "said"),
    [
        (Observe("tank-looks"), "'tank-looks' is not an observation; did you mean 'tank-look'?"),
        (Observe("charge-lamp"), "'Is the charge lamp dark?' is not for this bike"),
        (Correct("fill", ("stale-fuel",)), "'fill' is not a correction"),
        (Correct("fill-up", ()), "say which cause it is meant for"),
        (Correct("fill-up", ("plug-worn",)), "'plug-worn' is not put right by 'fill-up'"),
        (Correct("fill-up", ("gremlins",)), "'gremlins' is not a cause"),
        (HandOver(("gremlins",)), "'gremlins' is not a cause"),
        (Recheck("empty-yet-sparks-wide"), "is not a contradiction that stands"),
    ],
)
def test_what_cannot_be_done_is_refused_and_costs_nothing(
    begin: Begin, move: Move, said: str
) -> None:
    encounter = begin("stale-fuel")
    with pytest.raises(BadInput) as error:
        encounter.take(move)
    assert said in str(error.value)
    assert (encounter.steps, encounter.minutes) == ((), 0.0)


def test_nothing_can_be_done_after_the_end(begin: Begin) -> None:
    encounter = begin("stale-fuel")
    encounter.take(HandOver())
    for late in (lambda: encounter.take(RideMove()), encounter.hint):
        with pytest.raises(BadInput, match="has ended"):
            late()


def test_hints_give_away_more_and_more_and_start_anew_with_each_step(begin: Begin) -> None:
    encounter = begin("stale-fuel", tank_look="stale")
    hints = [encounter.hint() for _ in range(3)]
    assert [hint.grade for hint in hints] == ["area", "kind", "step"]
    assert hints[0].points < hints[1].points < hints[2].points
    with pytest.raises(BadInput, match="last hint"):
        encounter.hint()
    step = encounter.view().advice.step
    assert encounter.assessor.rules.observations[step.target].ask[1:] in hints[2].text
    taken = encounter.take(encounter.view().advised)
    assert len(taken.hints) == 3
    assert encounter.hint().grade == "area"


def test_an_exam_has_no_hints(mower_assessor: Assessor, mower_guide: Guide) -> None:
    scenario = draw_scenario(mower_assessor.rules, mower_guide, 1)
    with pytest.raises(BadInput, match="no hints"):
        Encounter(mower_assessor, mower_guide, scenario, hints_allowed=False).hint()


@settings(max_examples=15)
@given(seed=st.integers(0, 10_000))
def test_a_log_replays_to_the_same_case(
    mower_assessor: Assessor, mower_guide: Guide, seed: int
) -> None:
    scenario = draw_scenario(mower_assessor.rules, mower_guide, seed)
    played = work(Encounter(mower_assessor, mower_guide, scenario), AtRandom(seed))
    again = Encounter.replay(mower_assessor, mower_guide, scenario, played.log())
    assert again.case == played.case
    assert again.log() == played.log()
    assert (again.minutes, again.finished, again.failed) == (
        played.minutes, played.finished, played.failed,
    )  # fmt: skip
    assert again.steps == played.steps


@pytest.mark.parametrize("row", [{}, {"move": {"do": "dance"}}, {"move": {"do": "ride"}}, []])
def test_a_log_of_something_else_is_refused(
    mower_assessor: Assessor, mower_guide: Guide, row: dict[str, object]
) -> None:
    scenario = draw_scenario(mower_assessor.rules, mower_guide, 1)
    with pytest.raises(BadInput):
        Encounter.replay(mower_assessor, mower_guide, scenario, [row])


MOVES = [
    Observe("a"),
    Correct("b", ("c", "d")),
    RideMove(),
    Recheck("e"),
    HandOver(("f",)),
    HandOver(),
    HandBack(),
]


@pytest.mark.parametrize("move", MOVES)
def test_moves_survive_being_written_down(move: Move) -> None:
    assert move_from_json(move_to_json(move)) == move


def test_following_the_advice_throws_nothing_away(
    mower_assessor: Assessor, mower_guide: Guide
) -> None:
    for seed in range(20):
        scenario = draw_scenario(mower_assessor.rules, mower_guide, seed)
        played = work(Encounter(mower_assessor, mower_guide, scenario), Advised())
        assert all(step.loss == 0 and not step.faults for step in played.steps), seed


def test_what_holds_for_all_work_is_not_stopped_for(
    mower_assessor: Assessor, mower_guide: Guide
) -> None:
    """Counting clicks is not stopped for the caution that stands before everything."""
    rules = mower_assessor.rules
    name = next(n for n, entry in rules.observations.items() if entry.cautions)
    move, entry = Observe(name), rules.observations[name]
    machine = {key: options[0] for key, options in entry.needs.items()}
    drawn = draw_scenario(rules, mower_guide, 3)
    truth = replace(drawn.truth, machine={**drawn.truth.machine, **machine})
    guide = replace(mower_guide, standing_cautions=frozenset(entry.cautions))
    for known, expected in ((mower_guide, entry.cautions), (guide, ())):
        encounter = Encounter(mower_assessor, known, replace(drawn, truth=truth))
        assert encounter.cautions(move) == expected
