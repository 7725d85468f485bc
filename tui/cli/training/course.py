"""`course`: lessons in order, what is due again, and files checked."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.cli.common import Packs, or_exit, pack_option
from tui.cli.person_path import PersonPath
from tui.cli.storing import say, store_and_packs
from tui.cli.training.training_common import (
    after_lesson,
    coach_option,
    open_desk,
    open_teaching,
    play_kept,
    say_in_blocks,
    say_next,
)

if TYPE_CHECKING:
    from diagnose.training.course.course import Teaching
    from diagnose.training.course.course_lessons import Lesson
    from diagnose.training.course.repetition import RepeatItem
    from diagnose.training.desk import TrainingDesk


@click.group()
def course() -> None:
    """Lessons on the order of a diagnosis: read, play, and repeat what was got wrong."""


@course.command("show")
@click.argument("trainee", required=False)
@store_and_packs
def show(trainee: str | None, store: str | None, pack: Packs) -> None:
    """The units and lessons; with TRAINEE, as they have them."""
    from tui.training.plain.lesson_lines import course_lines

    if trainee is None:
        say(course_lines(open_teaching(pack).course, None))
        return
    desk = open_desk(pack, store)
    say(course_lines(desk.course, or_exit(lambda: desk.standing(trainee)).states))


@course.command("read")
@click.argument("unit")
@pack_option
def read(unit: str, pack: Packs) -> None:
    """The short text of UNIT, by its name or number."""
    from tui.training.plain.lesson_lines import unit_lines

    teaching = open_teaching(pack)
    say(unit_lines(or_exit(lambda: teaching.course.unit(unit)), teaching))


@course.command("go")
@click.argument("trainee")
@click.argument("lesson", required=False)
@coach_option
@store_and_packs
def go(trainee: str, lesson: str | None, coach: bool, store: str | None, pack: Packs) -> None:
    """Play LESSON, or what comes next: first what is due again, then the next lesson.

    The first customer of a unit is worked by a technician, and gone through with Enter. Every step
    of yours is kept before the next is shown.
    """
    from tui.training.plain.lesson_lines import unit_lines

    desk = open_desk(pack, store)
    now = or_exit(lambda: desk.standing(trainee))
    waiting = now.due(desk.attempts.store.now())
    if lesson is None and waiting:
        _repeat(desk, trainee, waiting[0].item, coach=coach)
        return
    chosen = now.next_lesson if lesson is None else or_exit(lambda: desk.course.lesson(lesson))
    if chosen is None:
        click.echo("Every unit is done. Name a lesson to play it again.")
        return
    unit = desk.course.unit(chosen.unit)
    state = now.state_of(chosen)
    to_be_seen = state.is_open and now.is_to_be_seen(chosen)
    encounter = None
    if not to_be_seen:
        encounter = or_exit(lambda: desk.begin_lesson(trainee, chosen, coach=coach))
    begun = any(row.lesson in {le.id for le in unit.lessons} for row in now.rows)
    if to_be_seen or not (begun or state.worked):
        say(unit_lines(unit, desk.teaching))
        click.echo("")
    if encounter is None:
        _show_example(desk, trainee, chosen)
        return
    click.echo(f"Lesson {chosen.id}: {encounter.scenario.title}.")
    if play_kept(encounter, coach=coach):
        after_lesson(desk, trainee)


def _show_example(desk: TrainingDesk, trainee: str, lesson: Lesson) -> None:
    """The lesson's own customer, worked by a technician to the end."""
    from diagnose.training.scoring.score_document import score_document
    from tui.training.plain.lesson_lines import example_lines

    titles = {key: cause.title for key, cause in desk.rules.causes.items()}
    document = or_exit(lambda: score_document(desk.worked_example(lesson)))
    if not say_in_blocks(example_lines(document, titles, lesson.title)):
        return
    or_exit(lambda: desk.note_example(trainee, lesson))
    say_next(desk, trainee)


@course.command("due")
@click.argument("trainee")
@click.option("--go", "begin", is_flag=True, help="Play the first that is due.")
@coach_option
@store_and_packs
def due(trainee: str, begin: bool, coach: bool, store: str | None, pack: Packs) -> None:
    """What was got wrong and comes back, after gaps that grow while it is got right."""
    from tui.training.words.progress_lines import due_lines

    desk = open_desk(pack, store)
    moment = desk.attempts.store.now()
    now = or_exit(lambda: desk.standing(trainee))
    waiting = now.due(moment)
    if not begin:
        say(due_lines(desk.guide, desk.course, now.repeats, moment))
        return
    if not waiting:
        click.echo("Nothing is due today.")
        return
    _repeat(desk, trainee, waiting[0].item, coach=coach)


def _repeat(desk: TrainingDesk, trainee: str, item: RepeatItem, *, coach: bool) -> None:
    """Play a case to repeat an item with."""
    from diagnose.training.words.course_words import item_title

    click.echo(f"To repeat: {item_title(desk.guide, desk.course, item)}.")
    encounter = or_exit(lambda: desk.begin_repeat(trainee, item, coach=coach))
    if play_kept(encounter, coach=coach):
        after_lesson(desk, trainee)


@course.command("check")
@click.argument("files", nargs=-1, required=True, type=PersonPath())
@pack_option
def check(files: tuple[Path, ...], pack: Packs) -> None:
    """Check cases and exams of your own, written in YAML, before anybody sits down to them."""
    teaching = open_teaching(pack)
    for path in files:
        click.echo(or_exit(partial(_checked, teaching, path)))


def _checked(teaching: Teaching, path: Path) -> str:
    """What a file holds. Raises `FileProblems`."""
    from diagnose.training.course.course_lessons import load_trainer_case
    from diagnose.training.course.exam import load_exam
    from rules.yaml_source import read_yaml_file

    data = read_yaml_file(path).data
    if isinstance(data, dict) and "exam" in data:
        exam = load_exam(teaching, path)
        return f"{path}: an exam of {exam.count} cases, pass mark {exam.pass_mark:g}."
    case, _ = load_trainer_case(teaching.rules, teaching.guide, path)
    titles = [teaching.rules.causes[cause].title for cause in case.truth.causes]
    return f"{path}: a case; the true cause is {' and '.join(titles)}."
