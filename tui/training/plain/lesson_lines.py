"""The course, what comes back, and reviews as plain lines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from diagnose.training.certificate import unit_word
from diagnose.training.course.course import Course, CourseUnit, Teaching
from diagnose.training.course.progress import UnitState
from diagnose.training.records.attempts import AttemptRow
from diagnose.training.words.review_words import (
    AS_GOOD,
    after_words,
    at_steps,
    chosen_text,
    example_end,
    leading_words,
    mistake_lines,
    passed_word,
    took_text,
    worked_lines,
    worth_text,
)
from diagnose.words.chances import counted
from tui.terminal.columns import table
from tui.terminal.text import wrapped


def course_lines(course: Course, states: Sequence[UnitState] | None) -> Iterator[str]:
    """Every unit with its lessons; with `states`, as a trainee has them."""
    yield course.title
    yield from wrapped(course.about)
    for number, unit in enumerate(course.units, 1):
        state = states[number - 1] if states is not None else None
        yield ""
        yield f"{number:>2}  {unit.title}{f'  [{unit_word(state)}]' if state else ''}"
        count = counted(unit.lessons_needed, "lesson")
        done = f", has {state.passed}" if state else ""
        yield f"    {unit.id}: needs {count} with {unit.score_needed:g} points{done}"
        if state is None or state.is_open:
            width = max(len(lesson.id) for lesson in unit.lessons)
            for lesson in unit.lessons:
                line = f"{lesson.id:<{width}}  {_best(state, lesson.id):>3}  {lesson.title}"
                yield from wrapped(line, "      ", "    ")


def _best(state: UnitState | None, lesson: str) -> str:
    score = state.best[lesson] if state is not None else None
    return "" if score is None else f"{score:.0f}"


def unit_lines(unit: CourseUnit, teaching: Teaching) -> Iterator[str]:
    """A unit's text with its sources; what a drawing of a word shows stands under it in words."""
    yield unit.title.upper()
    yield from wrapped(unit.text)
    told: dict[str, str] = {}
    for word, means in unit.words.items():
        yield from wrapped(f"{word}: {means}", "    ", "  ")
        if word in unit.drawn:
            picture = teaching.rules.pictures[unit.drawn[word]]
            told.setdefault(unit.drawn[word], word)
            shown = picture.description if told[unit.drawn[word]] == word else "see above."
            yield from wrapped(shown, "      ", "    Drawing: ")
    for number, line in enumerate(unit.at_the_bike, 1):
        yield from wrapped(line, "     ", f"  {number}. At a real bike: ")
    for name in unit.source:
        yield from wrapped(str(teaching.course.sources[name]), "  ", "  Source: ")


def attempt_lines(rows: Iterable[AttemptRow], course: Course, hidden: frozenset[int]) -> list[str]:
    """A trainee's cases; `hidden` are sittings whose scores are not to be seen yet."""
    titles = {lesson.id: lesson.title for lesson in course.lessons}
    listed = []
    for row in rows:
        result = row.result
        score, word = "-", "open"
        if result is not None:
            score, word = f"{result.total:.0f}", "passed" if result.passed else "not passed"
        if row.sitting in hidden:
            score, word = "?", "exam is open"
        what = titles.get(row.lesson or "", "exam case" if row.sitting else "drawn case")
        day = row.began.astimezone().date().isoformat()
        listed.append((str(row.id), day, what, row.lesson or "", score, word))
    return table(listed, ("case", "date", "what", "lesson", "score", "result"))


def review_lines(document: Mapping[str, Any], titles: Mapping[str, str]) -> Iterator[list[str]]:
    """A finished case gone through again, block by block: the dearest mistakes, each step, then the
    score.

    `titles` names causes.
    """
    yield [line for text in mistake_lines(document) for line in wrapped(text, "  ", "")]
    for step in document["review"]:
        yield list(step_lines(step, titles))
    yield list(_score_lines(document, titles))


def example_lines(
    document: Mapping[str, Any], titles: Mapping[str, str], title: str
) -> Iterator[list[str]]:
    """A case that a technician worked, block by block: the customer, each step with its why, and
    what it came to."""
    customer = document["customer"]
    said = [f'"{words}"' for words in customer["words"]]
    said += [f"They say unasked: {line}" for line in customer["told"]]
    head = [f"A technician works the first customer: {title}.", *said]
    yield [line for text in head for line in wrapped(text, "  ", "")]
    for step in document["review"]:
        lines = [line for text in worked_lines(step, titles) for line in wrapped(text, "  ", "")]
        yield [f"STEP {step['number']}, {took_text(step)}", *lines]
    yield [line for text in example_end(document, titles) for line in wrapped(text, "  ", "")]


def step_lines(step: Mapping[str, Any], titles: Mapping[str, str]) -> Iterator[str]:
    """One step gone through again: before, what was done and gave, after, and what is better."""
    yield f"STEP {step['number']}"
    yield from wrapped(leading_words(step, titles), "  ", "")
    minutes = f" ({took_text(step)})" if step["minutes"] >= 1 else ""
    yield from wrapped(f"{chosen_text(step)}{minutes}", "  ")
    if step["result"]:
        yield from wrapped(step["result"], "  ", "It gave: ")
    if step.get("after"):
        yield from wrapped(after_words(step, titles), "  ", "")
    yield f"Worth: {worth_text(step)}"
    for fault in step["faults"]:
        yield from wrapped(fault["text"], "  ", "Fault: ")
    if step.get("harm"):
        yield from wrapped(step["harm"], "  ", "Harm: ")
    if step["better"]:
        yield from wrapped(step["better"], "  ")
    elif not step["faults"] and not step.get("shown"):
        yield AS_GOOD


def _score_lines(document: Mapping[str, Any], titles: Mapping[str, str]) -> Iterator[str]:
    score = document["score"]
    passed = passed_word(passed=score["passed"], failed=bool(score["failed"]))
    yield f"SCORE {score['total']:.0f} of 100: {passed}"
    if score["failed"]:
        yield from wrapped(score["failed"], "  ", "Failed: ")
    behind = ", ".join(titles.get(cause, cause) for cause in score["behind"])
    yield from wrapped(behind, "  ", "It was: ")
    for item in score["measures"]:
        steps = f"; {at_steps(item['steps'])}" if item["steps"] else ""
        came = f"{item['title']}: {item['points']:.1f} of {item['out_of']:.0f}{steps}"
        yield from wrapped(came, "    ", "  ")
    if score["hints"]:
        yield f"  Hints: {score['hints']}, {score['hint_points']:g} points off"
    teaches = document["scenario"].get("teaches")
    if teaches:
        yield from wrapped(teaches, "  ", "Remember: ")
