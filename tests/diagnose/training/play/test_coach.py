"""What a trainee thinks likely, held against what could be known then."""

from __future__ import annotations

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.training.customers.guide import Guide
from diagnose.training.customers.scenario import draw_scenario
from diagnose.training.play.coach import (
    Guess,
    brier_score,
    chances_of_results,
)
from diagnose.training.play.encounter import Encounter
from diagnose.training.play.moves import Correct, Observe, RideMove
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
