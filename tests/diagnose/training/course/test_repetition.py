"""What was got wrong comes back: gaps grow on success and shrink on failure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta

from fsrs import Card
from hypothesis import given
from hypothesis import strategies as st

from diagnose.training.course.course import Teaching
from diagnose.training.course.progress import unit_states
from diagnose.training.course.repetition import RepeatItem, Spacing, case_for, due, repeats
from diagnose.training.records.attempts import AttemptRow
from diagnose.training.records.results import AttemptResult
from diagnose.training.records.trainee_book import Trainee
from rules.language.courses import Repetition

START = datetime(2026, 5, 1, 8, 0, tzinfo=UTC)
LONGEST = 180
FIGURES = Repetition(
    known_when_due=0.9,
    longest_days=LONGEST,
    hard_from=70,
    good_from=80,
    easy_from=95,
    source=("made-up",),
)
SPACING = Spacing(FIGURES)


def gap(card: Card) -> int:
    assert card.last_review is not None
    return round((card.due - card.last_review) / timedelta(days=1))


def told(points: Sequence[float], late: Sequence[int] = ()) -> tuple[Card, datetime]:
    """A card after a miss and then these answers, each on the day it was due or days later."""
    card, at = SPACING.after(None, 0, START), START
    for number, answer in enumerate(points):
        at = card.due + timedelta(days=late[number] if number < len(late) else 0)
        card = SPACING.after(card, answer, at)
    return card, at


ANSWERS = st.lists(st.floats(0, 100), max_size=12)


@given(ANSWERS, st.floats(80, 100), st.lists(st.integers(0, 30), max_size=12))
def test_a_good_answer_makes_the_gap_longer_and_a_miss_shorter(
    before: list[float], good: float, late: list[int]
) -> None:
    card, _ = told(before, late)
    good_gap = gap(SPACING.after(card, good, card.due))
    missed_gap = gap(SPACING.after(card, 10.0, card.due))
    # gaps are whole days: a day or two may grow by less than one
    assert good_gap > gap(card) or good_gap == LONGEST or gap(card) <= 2
    assert good_gap >= gap(card)
    assert missed_gap < gap(card) or gap(card) == 1
    assert 1 <= missed_gap <= good_gap <= LONGEST


@given(ANSWERS)
def test_the_same_answers_give_the_same_gaps(points: list[float]) -> None:
    first, second = told(points)[0], told(points)[0]
    assert (first.due, first.stability) == (second.due, second.stability)


def test_right_again_and_again_the_gaps_grow_without_end_to_the_longest() -> None:
    gaps = [gap(told([85.0] * n)[0]) for n in range(9)]
    assert gaps[0] == 1
    assert gaps == sorted(gaps)
    assert gaps[-1] == LONGEST


def result(total: float, causes: Mapping[str, str], **shares: float) -> AttemptResult:
    measures = {"right-cause": 1.0, "order": 1.0} | {
        k.replace("_", "-"): v for k, v in shares.items()
    }
    return AttemptResult(
        total, total >= 70, "", 30, 1.2, 0, measures, tuple(causes), tuple(causes.values())
    )


def row(
    number: int, at: datetime, done: AttemptResult | None, lesson: str | None = None
) -> AttemptRow:
    return AttemptRow(number, 1, lesson or str(number), lesson, None, at, at, done)


FUEL = {"no-fuel": "fuel"}


def test_only_what_was_missed_comes_back_and_every_later_case_that_touches_it_counts(
    mower_teaching: Teaching,
) -> None:
    course = mower_teaching.course
    rows = [
        row(1, START, result(90, FUEL), "dead-1"),
        row(2, START, result(40, FUEL, right_cause=0.0, order=0.5), "dead-2"),
        row(3, START, None, "any-1"),
    ]
    found = repeats(course, rows)
    assert {(r.item.kind, r.item.id) for r in found} == {
        ("lesson", "dead-2"), ("measure", "right-cause"), ("measure", "order"), ("group", "fuel"),
    }  # fmt: skip
    assert all(r.misses == 1 and r.gap == 1 for r in found)
    assert due(found, START) == []
    assert len(due(found, START + timedelta(days=1))) == 4
    later = [*rows, row(4, START + timedelta(days=1), result(100, FUEL), "any-1")]
    gaps = {r.item.id: r.gap for r in repeats(course, later)}
    assert gaps["dead-2"] == 1
    assert min(gaps["right-cause"], gaps["order"], gaps["fuel"]) > 1


def test_a_machine_let_out_unsafe_is_a_miss_of_every_measure(mower_teaching: Teaching) -> None:
    bad = AttemptResult(0, False, "not safe", 30, 1.2, 0, {"order": 1.0}, ("no-fuel",), ("fuel",))
    found = repeats(mower_teaching.course, [row(1, START, bad)])
    assert {r.item.id for r in found} == {"order", "fuel"}


def test_the_case_to_repeat_with_is_the_one_done_longest_ago(mower_teaching: Teaching) -> None:
    course = mower_teaching.course
    nobody = Trainee(1, "Ann", START, ())

    def chosen(item: RepeatItem, rows: Sequence[AttemptRow]) -> tuple[str, str | None]:
        states = unit_states(course, nobody, "mower", rows)
        scenario, lesson = case_for(
            mower_teaching.rules, mower_teaching.guide, course, states, rows, item
        )
        return scenario, lesson.id if lesson else None

    again = RepeatItem("measure", "order")
    first = row(1, START, result(40, FUEL), "dead-1")
    assert chosen(again, [])[1] == "dead-1"
    assert chosen(again, [first])[1] == "dead-2"
    assert chosen(again, [first, row(2, START, result(40, FUEL), "dead-2")])[1] == "dead-1"
    assert chosen(RepeatItem("lesson", "any-1"), [])[1] == "any-1"
    # a group without a worked case is drawn, and not the same one twice
    drawn, lesson = chosen(RepeatItem("group", "spark"), [])
    assert lesson is None
    done = AttemptRow(3, 1, drawn, None, None, START, START, result(90, {"plug-worn": "spark"}))
    assert chosen(RepeatItem("group", "spark"), [done])[0] not in (drawn, "")
