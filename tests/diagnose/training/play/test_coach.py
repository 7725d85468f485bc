"""What a trainee thinks likely, held against what could be known then."""

from __future__ import annotations

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.training.course.repetition import RepeatItem
from diagnose.training.customers.guide import Guide
from diagnose.training.customers.scenario import draw_scenario
from diagnose.training.desk import TrainingDesk
from diagnose.training.play.coach import (
    Guess,
    brier_score,
    chances_of_results,
)
from diagnose.training.play.encounter import Encounter
from diagnose.training.play.moves import Correct, HandBack, Observe, RideMove
from diagnose.training.words.encounter_words import coach_lines, move_words, now_lines
from diagnose.words.step_words import step_text
from rules.problems import BadInput


@pytest.fixture
def encounter(mower_assessor: Assessor, mower_guide: Guide) -> Encounter:
    return Encounter(
        mower_assessor,
        mower_guide,
        draw_scenario(mower_assessor.rules, mower_guide, 4, "misleading"),
    )


def test_naming_the_likeliest_earns_all_of_the_share(encounter: Encounter) -> None:
    likeliest = list(encounter.view().chances)
    assert encounter.guess(Guess((likeliest[0],))).share == pytest.approx(1)
    assert encounter.guess(Guess(tuple(likeliest[:3]))).share == pytest.approx(1)
    worse = encounter.guess(Guess((likeliest[-1],))).share
    assert 0 < worse < 0.5


def test_the_truth_is_not_what_counts(encounter: Encounter) -> None:
    """The complaint misleads here: the true cause is the poorer guess, and scored so."""
    true = encounter.scenario.truth.causes
    first = next(iter(encounter.view().chances))
    assert first not in true
    assert encounter.guess(Guess(true)).share < encounter.guess(Guess((first,))).share


def test_stated_probabilities_are_held_against_the_models(encounter: Encounter) -> None:
    causes = tuple(encounter.view().chances)[:2]
    held = tuple(encounter.view().chances[cause] for cause in causes)
    assert encounter.guess(Guess(causes, held)).brier == pytest.approx(0)
    off = (held[0] - 0.2, held[1] + 0.1)
    assert encounter.guess(Guess(causes, off)).brier == pytest.approx((0.04 + 0.01) / 2)
    assert encounter.guess(Guess(causes)).brier is None


def test_brier_against_a_case_worked_by_hand() -> None:
    assert brier_score([0.9, 0.2], [1.0, 0.0]) == pytest.approx((0.01 + 0.04) / 2)


def test_the_expected_result_is_held_against_the_likeliest_one(encounter: Encounter) -> None:
    move = Observe("tank-look")
    cause = next(iter(encounter.view().chances))
    chances = chances_of_results(encounter.assessor, encounter.view(), move)
    assert sum(chances.values()) == pytest.approx(1)
    best = max(chances, key=lambda state: chances[state])
    assert encounter.guess(Guess((cause,), move=move, expects=best)).concordance == 1
    worst = min(chances, key=lambda state: chances[state])
    scored = encounter.guess(Guess((cause,), move=move, expects=worst))
    assert scored.concordance == pytest.approx(chances[worst] / chances[best])


def test_the_report_of_a_ride_can_be_expected(encounter: Encounter) -> None:
    cause = next(iter(encounter.view().chances))
    rules = encounter.assessor.rules
    assert chances_of_results(encounter.assessor, encounter.view(), RideMove()) == {}
    encounter.take(Correct(rules.causes[cause].correction, (cause,)))
    chances = chances_of_results(encounter.assessor, encounter.view(), RideMove())
    assert set(chances) == set(rules.policy.ride_report)
    assert sum(chances.values()) == pytest.approx(1)
    # as likely as the correction was needed, but for how riders report
    assert 0.2 < chances["gone"] < 0.9


@pytest.mark.parametrize(
    ("guess", "said"),
    [
        (Guess(()), "name one to 3 different causes"),
        (Guess(("no-fuel", "no-fuel")), "name one to 3 different causes"),
        (Guess(("no-fuel", "stale-fuel", "plug-worn", "blade-bent")), "name one to 3"),
        (Guess(("no-fule",)), "'no-fule' is not a cause; did you mean 'no-fuel'?"),
        (Guess(("no-fuel",), (0.5, 0.2)), "a probability for each cause"),
        (Guess(("no-fuel",), (1.5,)), "between 0 and 1"),
        (Guess(("no-fuel",), move=Observe("tank-look"), expects="blue"), "'blue' is not a result of it; there are fresh, stale, empty"),
    ],
)  # fmt: skip
def test_what_is_no_guess_is_refused(encounter: Encounter, guess: Guess, said: str) -> None:
    with pytest.raises(BadInput) as error:
        encounter.guess(guess)
    assert said in str(error.value)


def test_a_guess_belongs_to_the_step_after_it_and_survives_being_written(
    encounter: Encounter,
) -> None:
    guess = Guess(("no-fuel",), (0.4,), Observe("tank-look"), "empty")
    scored = encounter.guess(guess)
    taken = encounter.take(Observe("tank-look"))
    assert (taken.guess, taken.guess_score) == (guess, scored)
    assert encounter.take(Observe("hit-a-stone")).guess is None
    assert Guess.from_json(guess.to_json()) == guess


@pytest.mark.parametrize("seed", range(4))
def test_following_what_the_coach_would_do_now_loses_nothing(
    mower_assessor: Assessor, mower_guide: Guide, seed: int
) -> None:
    """Whatever was done before: a useless question, and now and then a hasty correction."""
    rules = mower_assessor.rules
    case = draw_scenario(rules, mower_guide, seed, "two-causes")
    encounter = Encounter(mower_assessor, mower_guide, case)
    encounter.take(Observe("hit-a-stone"))
    if seed % 2:
        cause = list(encounter.view().chances)[-1]
        encounter.take(Correct(rules.causes[cause].correction, (cause,)))
    while not encounter.finished and len(encounter.steps) < 40:
        said = list(now_lines(encounter))[-1]
        step = encounter.view().advice.step
        assert said.startswith("Now it would do this: ")
        assert step_text(rules, encounter.case, step).heading in said
        move = encounter.view().advised
        encounter.read_cautions(move)
        taken = encounter.take(move)
        assert (taken.loss, taken.faults) == (0, ())
    assert encounter.finished and not encounter.failed


def test_the_coach_tells_before_from_now(encounter: Encounter) -> None:
    advised = encounter.view().advised
    same = encounter.take(advised)
    lines = list(coach_lines(encounter, None, same))
    at = lines.index("Before this step it would have done the same.")
    assert any(line.startswith("Likeliest now") for line in lines[at:])
    assert lines[-1].startswith("Now it would do this: ")
    other = encounter.take(Observe("hit-a-stone"))
    lines = list(coach_lines(encounter, None, other))
    assert any(line.startswith("Before this step it would have done this: ") for line in lines)
    cause = next(iter(encounter.view().chances))
    correct = encounter.take(Correct(encounter.assessor.rules.causes[cause].correction, (cause,)))
    lines = list(coach_lines(encounter, None, correct))
    ride = step_text(encounter.assessor.rules, encounter.case, encounter.view().advice.step)
    assert encounter.view().advised == RideMove() and ride.heading in lines[-1]


def test_where_the_score_counts_the_coach_leaves_the_next_step_to_the_trainee(
    desk: TrainingDesk,
) -> None:
    lesson = desk.begin_lesson("Ann", desk.course.lesson("dead-1"), coach=True)
    practice = desk.begin_case("Ann", lesson.scenario, coach=True)
    repeat = desk.begin_repeat("Ann", RepeatItem("group", "fuel"), coach=True)
    for encounter, tells in ((lesson, False), (practice, True), (repeat, False)):
        taken = encounter.take(Observe("hit-a-stone"))
        told = "\n".join(coach_lines(encounter, None, taken))
        assert "Before this step it would have done this: " in told and "Likeliest now: " in told
        assert ("Now it would do this: " in told) is tells


def test_giving_back_says_first_what_is_not_proved(encounter: Encounter) -> None:
    assert "Look further first." in move_words(encounter, HandBack()).note
    cause = list(encounter.view().chances)[-1]
    encounter.take(Correct(encounter.assessor.rules.causes[cause].correction, (cause,)))
    assert "not ridden yet" in move_words(encounter, HandBack()).note
    came = encounter.take(RideMove())
    assert came.event is not None and not encounter.proven
    said = f'the last ride said "{encounter.view().now.rides[-1].report}", which is not gone. '
    assert said + "Ride again or look further." in move_words(encounter, HandBack()).note


def test_cautions_once_read_stay_read_until_the_step_is_taken(encounter: Encounter) -> None:
    cause = next(iter(encounter.view().chances))
    encounter.take(Correct(encounter.assessor.rules.causes[cause].correction, (cause,)))
    encounter.read_cautions(RideMove())
    encounter.read_cautions(HandBack())  # looked at another step, and came back
    assert encounter.has_read(RideMove())
    assert encounter.take(RideMove()).cautions_read
    assert not encounter.has_read(RideMove())
