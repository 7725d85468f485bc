"""A rider who cannot name it: settings and safety are looked at, and no fault is invented."""

import pytest

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.case.events import Answered, Case, read_complaint
from diagnose.words.step_words import why_text
from tui.plain.offers import offers

MOST_STEPS = 90
OBSERVING = ("ask", "measure", "inspect", "ride-test")


@pytest.fixture(scope="module")
def worked(offroad_assessor: Assessor) -> tuple[list[str], Assessment]:
    """What was looked at where every answer is in order, and how it ended."""
    rules = offroad_assessor.rules
    case = Case(
        {"class": "full-size", "fork": "coil-closed", "rear": "linkage"},
        {},
        (read_complaint(rules, "vague-feel"),),
    )
    looked: list[str] = []
    for _ in range(MOST_STEPS):
        made = offroad_assessor.assess(case)
        if made.step.kind not in OBSERVING:
            return looked, made
        looked.append(made.step.target)
        entry = rules.observations[made.step.target]
        case = case.with_event(Answered(made.step.target, entry.normal))
    raise AssertionError(f"no end after {MOST_STEPS} steps")


def test_settings_and_dangers_are_looked_at(worked: tuple[list[str], Assessment]) -> None:
    looked, _ = worked
    assert {"front-tyre-gauge", "rear-tyre-gauge", "rear-race-sag-measured"} <= set(looked)
    assert "changed-never-bled" in looked
    assert not {"head-play-rock", "head-brake-push"}.isdisjoint(looked)


def test_so_many_looks_are_enough_where_nothing_is_likely(
    worked: tuple[list[str], Assessment],
) -> None:
    looked, made = worked
    entries = made.model.rules.observations
    enough = made.model.rules.complaints["vague-feel"].enough_looks
    assert sum(entries[name].way != "memory" for name in looked) == enough == 15


def test_it_ends_without_a_fault(
    offroad_assessor: Assessor, worked: tuple[list[str], Assessment]
) -> None:
    _, made = worked
    assert made.step.kind == "hand-over"
    assert max(c.probability for c in made.ranking.causes) < 0.05
    rules, said = offroad_assessor.rules, why_text(offroad_assessor.rules, made.step)
    assert "Nothing was found wrong in what was looked at: " in said
    assert "front tyre pressure" in said
    assert "rested" in said and "another rider" in said and "%" not in said
    first, *_ = offers(rules, made.belief.case, made.step)
    assert first.opens == "close"
    assert first.label == "Leave it as it is; nothing found wrong"


def test_another_riders_opinion_is_asked_first(worked: tuple[list[str], Assessment]) -> None:
    assert worked[0][0] == "everyone-says-so"


def test_the_words_alone_make_no_fault_likely(offroad_assessor: Assessor) -> None:
    case = Case({}, {}, (read_complaint(offroad_assessor.rules, "vague-feel"),))
    made = offroad_assessor.assess(case)
    assert all(c.probability < 1.3 * c.prior + 0.01 for c in made.ranking.causes if c.relevant)
