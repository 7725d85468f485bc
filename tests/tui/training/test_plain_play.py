"""A training case in lines: what is typed in words, and when cautions are offered."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.training.course.course import load_teaching
from diagnose.training.customers.scenario import draw_scenario
from diagnose.training.play.encounter import Encounter
from diagnose.training.play.moves import HandBack, Observe
from rules.loading.pack_files import OFFROAD
from tests.places import MOWER
from tui.training.plain.plain_play import play

Begin = Callable[[], Encounter]


@pytest.fixture
def mower_case(mower_assessor: Assessor) -> Encounter:
    """Stale fuel, on a petrol mower."""
    guide = load_teaching(mower_assessor.rules, (MOWER,)).guide
    return Encounter(mower_assessor, guide, draw_scenario(mower_assessor.rules, guide, 4, "single"))


def played(encounter: Encounter, *typed: str) -> str:
    """Everything written, with what was typed after its prompt, until the typing runs out."""
    lines = iter(typed)
    written: list[str] = []

    def read(prompt: str) -> str:
        line = next(lines, None)
        written.append(prompt + (line or ""))
        if line is None:
            raise EOFError
        return line

    play(encounter, read, written.append)
    return "\n".join(written)


@pytest.mark.parametrize(
    ("question", "observation"),
    [
        ("is there petrol of last year in the tank?", "tank-look"),
        ("smelling stale?", "tank-look"),  # by words of its answers
        ("has it been standing over the winter", "stood-all-winter"),
        ("wobbling blade", "blade-wobble"),
        ("plug gap", "plug-gap-reading"),
    ],
)
def test_a_question_in_words_finds_what_asks_it(
    mower_case: Encounter, question: str, observation: str
) -> None:
    played(mower_case, question, "1", "d")
    assert [step.move for step in mower_case.steps] == [Observe(observation)]


def test_a_question_on_the_shipped_pack_is_understood_as_it_is_put(
    offroad_assessor: Assessor,
) -> None:
    guide = load_teaching(offroad_assessor.rules, (OFFROAD,)).guide
    case = draw_scenario(offroad_assessor.rules, guide, 102)
    encounter = Encounter(offroad_assessor, guide, case)
    text = played(
        encounter, "is the steering head loose?", "", "when was the fork oil changed?", "1"
    )
    assert "is there play at the steering head?" in " ".join(text.split())
    assert [step.move for step in encounter.steps] == [Observe("hours-fork-service")]


def test_cautions_are_offered_where_one_applies_and_enter_leaves_the_step(
    mower_case: Encounter,
) -> None:
    assert "Cautions:" not in played(mower_case, "fresh fuel", "1")
    left = played(mower_case, "wobble", "1", "")
    assert "Cautions: r read them, d do it now, Enter leaves it> " in left
    assert "Pull the plug lead" not in left and len(mower_case.steps) == 1
    read = played(mower_case, "wobble", "1", "x", "r", "d")
    assert "r, d or Enter." in read
    assert "CAUTION: Pull the plug lead off before you touch the blade." in read
    assert mower_case.steps[-1].cautions_read


def test_a_step_whose_cautions_were_not_read_is_named_in_the_review(mower_case: Encounter) -> None:
    text = played(mower_case, "wobble", "1", "d", "b", "y", "r", "")
    (unread,) = (part for part in text.split("STEP ")[1:] if "wobble" in part)
    assert "Fault: The cautions of this step were not read before it." in unread


def test_counting_clicks_is_not_stopped_for_what_holds_for_all_work(
    offroad_assessor: Assessor,
) -> None:
    guide = load_teaching(offroad_assessor.rules, (OFFROAD,)).guide
    encounter = Encounter(
        offroad_assessor, guide, draw_scenario(offroad_assessor.rules, guide, 102)
    )
    name = "fork-compression-clicks"
    assert offroad_assessor.rules.observations[name].cautions  # it has some
    text = played(encounter, offroad_assessor.rules.observations[name].ask, "1")
    assert [step.move for step in encounter.steps] == [Observe(name)]
    assert "Cautions:" not in text


def test_giving_a_bike_back_unproved_says_first_what_it_counts(mower_case: Encounter) -> None:
    text = " ".join(played(mower_case, "c", "stale fuel", "1", "b", "").split())
    assert "Give the bike back unproved. The case ends with this." in text
    assert "the last correction was not ridden yet" in text
    assert "counts 120 minutes as if handed over" in text
    assert not mower_case.finished
    assert not any(isinstance(step.move, HandBack) for step in mower_case.steps)
