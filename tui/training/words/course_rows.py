"""The course of one trainee as rows: what was left open, what comes back, units, exams."""

from __future__ import annotations

from collections.abc import Iterator

from textual.content import Content

from diagnose.training.certificate import exam_word, unit_word
from diagnose.training.course.course_lessons import OWN
from diagnose.training.course.exam import Exam, SittingResult
from diagnose.training.course.progress import UnitState
from diagnose.training.course.repetition import Repeat, RepeatItem
from diagnose.training.desk import TraineeStanding
from diagnose.training.records.attempts import AttemptRow
from diagnose.training.words.course_words import item_title
from diagnose.words.chances import ago, counted
from tui.terminal.clock import day_of
from tui.training.words.course_sheet import CourseSheet
from tui.widgets.search_list import SearchRow

_TITLE = 38


def course_rows(sheet: CourseSheet) -> list[SearchRow]:
    """Everything that can be picked on the course."""
    rows: list[SearchRow] = []
    left_open = [_open_row(sheet, row) for row in open_cases(sheet.standing)]
    coming_back = [_repeat_row(sheet, item) for item in sheet.standing.due(sheet.now)]
    for heading, some in (
        ("Left open: Enter goes on", left_open),
        ("To repeat today", coming_back),
        ("Units", list(map(_unit_row, range(1, 100), sheet.standing.states))),
        ("Exams", [_exam_row(sheet, exam) for exam in sheet.exams]),
    ):
        rows += [SearchRow("", heading), *some] if some else []
    return rows


def next_words(sheet: CourseSheet) -> str:
    """What comes next on the course, in a sentence or two."""
    lesson, exam = sheet.standing.next_lesson, next_exam(sheet)
    if lesson is not None and sheet.standing.is_to_be_seen(lesson):
        units = sheet.teaching.course.units
        number = 1 + [unit.id for unit in units].index(lesson.unit)
        return f"Next: unit {number}, {units[number - 1].title}."
    if lesson is not None:
        return f"Next lesson: {lesson.title}."
    return "Every unit is done." + (f" Next: {exam.title}." if exam is not None else "")


def next_value(sheet: CourseSheet) -> str | None:
    """The value of the row that comes next."""
    due, lesson = sheet.standing.due(sheet.now), sheet.standing.next_lesson
    if due:
        return item_value(due[0].item)
    if lesson is not None:
        return f"unit:{lesson.unit}"
    exam = next_exam(sheet)
    return f"exam:{exam.name}" if exam is not None else None


def coach_label(*, on: bool) -> str:
    """Whether cases are begun with coach, and what the key does."""
    return "Coach on: switch off" if on else "Coach off: switch on"


def next_exam(sheet: CourseSheet) -> Exam | None:
    """The first exam that was not passed the last time, or never sat."""

    def is_left(exam: Exam) -> bool:
        last = latest_sitting(sheet.standing, exam)
        return last is None or not last.passed

    return next(filter(is_left, sheet.exams), None)


def open_cases(standing: TraineeStanding) -> list[AttemptRow]:
    """Cases left open that can go on from here, the latest of each first.

    Those of an exam go on from the exam, those of a trainer's file with the file.
    """
    latest = {(row.scenario, row.lesson): row for row in standing.rows if row.sitting is None}
    found = [row for row in latest.values() if row.result is None]
    return sorted(
        (row for row in found if not row.scenario.startswith(f"{OWN}:")),
        key=lambda row: -row.id,
    )


def latest_sitting(standing: TraineeStanding, exam: Exam) -> SittingResult | None:
    """The latest time this exam was sat."""
    sat = [result for result in standing.sat if result.sitting.begun.exam == exam.name]
    return sat[-1] if sat else None


def is_over(result: SittingResult) -> bool:
    """Whether a sitting is over, so that its scores may be seen."""
    return result.sitting.ended is not None


def item_value(item: RepeatItem) -> str:
    """The value of the row of an item to repeat."""
    return f"repeat:{item.kind}:{item.id}"


def case_title(sheet: CourseSheet, row: AttemptRow) -> str:
    """What a case is called before its answer is known."""
    titles = {lesson.id: lesson.title for lesson in sheet.teaching.course.lessons}
    if row.sitting is not None:
        return f"Exam case {row.id}"
    return titles.get(row.lesson or "", f"Case {row.id}")


def _line(value: str, title: str, about: str) -> SearchRow:
    after = "  " if len(title) <= _TITLE else f"\n{'':<{_TITLE + 4}}"
    return SearchRow(
        value, Content.assemble("  ", (f"{title:<{_TITLE}}", "bold"), f"{after}{about}"), title
    )


def _open_row(sheet: CourseSheet, row: AttemptRow) -> SearchRow:
    when = ago((day_of(sheet.now) - day_of(row.changed)).days)
    return _line(f"open:{row.id}", case_title(sheet, row), f"left {when}")


def _repeat_row(sheet: CourseSheet, repeat: Repeat) -> SearchRow:
    teaching = sheet.teaching
    title = item_title(teaching.guide, teaching.course, repeat.item)
    times = f"missed {counted(repeat.misses, 'time')}"
    return _line(item_value(repeat.item), f"{title[:1].upper()}{title[1:]}", times)


def _unit_row(number: int, state: UnitState) -> SearchRow:
    unit = state.unit
    about = unit_word(state)
    if state.is_open:
        about += f", {state.passed} of {unit.lessons_needed} lessons"
    if unit.at_the_bike and not state.not_shown:
        about += ", signed"
    return _line(f"unit:{unit.id}", f"{number:>2}  {unit.title}", about)


def _exam_row(sheet: CourseSheet, exam: Exam) -> SearchRow:
    last = latest_sitting(sheet.standing, exam)
    about = f"{exam.count} cases"
    if last is not None:
        about += f", {exam_word(last)}" + (f", mean {last.mean:.0f}" if is_over(last) else "")
    return _line(f"exam:{exam.name}", exam.title, about)


def about_lines(sheet: CourseSheet, value: str) -> Iterator[str]:
    """What a row is about, in full."""
    kind, _, name = value.partition(":")
    teaching = sheet.teaching
    if kind == "unit":
        state = next(s for s in sheet.standing.states if s.unit.id == name)
        unit = state.unit
        yield from unit_about(sheet, state)
        yield ""
        yield unit.text
        yield ""
        for lesson in unit.lessons if state.is_open else ():
            best = state.best[lesson.id]
            yield f"- {lesson.title}" + (f": best {best:.0f}" if best is not None else "")
    elif kind == "exam":
        exam = next(exam for exam in sheet.exams if exam.name == name)
        yield from exam_about(exam, sheet.standing)
    elif kind == "repeat":
        yield "It was got wrong, and comes back after gaps that grow while it is got right."
    else:
        yield f"{teaching.course.title}: this case goes on from the step where it was left."


def unit_about(sheet: CourseSheet, state: UnitState) -> Iterator[str]:
    """What a unit asks for, and whether it is open."""
    unit = state.unit
    if not state.is_open:
        before = sheet.standing.states[sheet.standing.states.index(state) - 1].unit
        yield f"Locked: it opens when {before.title!r} is done."
    count = counted(unit.lessons_needed, "lesson")
    yield f"Done with {count} at {unit.score_needed:g} points or more; so far {state.passed}."


def exam_about(exam: Exam, standing: TraineeStanding) -> Iterator[str]:
    """What an exam is about and asks for, how it is held, and whether to sit it now."""
    undone = [state.unit.title for state in standing.states if not state.is_done]
    if undone:
        done, of = len(standing.states) - len(undone), len(standing.states)
        wait = f", and the next sitting is {counted(exam.wait_days, 'day')} later"
        yield (
            f"It asks for every unit; {done} of {of} are done. Better finish them first: a sitting "
            f"begun counts{wait if exam.wait_days else ''}."
        )
    if exam.about:
        yield exam.about
    yield (
        f"{exam.count} cases, pass mark {exam.pass_mark:g}. No hints, no coach; the time is "
        "noted, and scores are shown after the last case."
    )
