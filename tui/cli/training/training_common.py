"""What the commands about training records share: the desk, and playing a case at it."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

import click

from tui.cli.common import Packs, load_rules, or_exit
from tui.cli.storing import open_or_exit, say
from tui.terminal.statuses import BAD_INPUT, INTERRUPTED
from tui.terminal.text import wrapped

if TYPE_CHECKING:
    from diagnose.training.course.course import Teaching
    from diagnose.training.desk import TraineeStanding, TrainingDesk
    from diagnose.training.records.kept_encounter import KeptEncounter

coach_option = click.option(
    "--coach",
    is_flag=True,
    help="Name the likely causes before each step, then see the program's.",
)


def open_teaching(pack: Packs) -> Teaching:
    """The course and the guide. Exits with a message where one is missing."""
    from diagnose.training.course.course import load_teaching

    rules = load_rules(pack)
    return or_exit(lambda: load_teaching(rules, pack))


def open_desk(pack: Packs, where: str | None, *, create: bool = False) -> TrainingDesk:
    """The course, the guide and the records. Exits with a message where one is missing."""
    from diagnose.training.desk import TrainingDesk

    teaching = open_teaching(pack)
    return TrainingDesk(teaching, open_or_exit(where, create=create))


_LEFT = "Left open; what was done is kept, and beginning it again goes on from there."


def play_kept(
    encounter: KeptEncounter, *, coach: bool, show_score: bool = True, before_leaving: str = ""
) -> bool:
    """Play a case to its end or until it is left. Whether it has ended.

    What leaving costs is said, and asked about, `before_leaving`. Exits where its end could not be
    recorded.
    """
    from rules.problems import BadInput
    from tui.training.plain.plain_play import play

    if any(not step.shown for step in encounter.steps):
        click.echo(f"Going on with case {encounter.attempt.id}, after step {len(encounter.steps)}.")
    try:
        play(
            encounter,
            input,
            click.echo,
            coach=coach,
            show_score=show_score,
            before_leaving=before_leaving,
        )
    except KeyboardInterrupt:
        click.echo("")
        say(wrapped(before_leaving or _LEFT))
        sys.exit(INTERRUPTED)
    try:
        encounter.keep()
    except BadInput as problem:
        click.echo(f"NOT RECORDED: {problem}", err=True)
        sys.exit(BAD_INPUT)
    if not encounter.finished:
        say(wrapped(before_leaving or _LEFT))
    return encounter.finished


def after_lesson(desk: TrainingDesk, name: str) -> None:
    """Say what a finished case has opened, and what is due or next."""
    for unit in or_exit(lambda: desk.after_case(name)):
        click.echo(f"Open now: {unit.title} (`badride course read {unit.id}`).")
    now = or_exit(lambda: desk.standing(name))
    due = len(now.due(desk.attempts.store.now()))
    if due:
        click.echo(f"{due} to repeat today: `badride course due {_quoted(name)} --go`.")
    say_next(desk, name)


def say_next(desk: TrainingDesk, name: str) -> None:
    """Say what comes next on the course, and how to begin it."""
    from diagnose.training.course.exam import exam_files

    now = or_exit(lambda: desk.standing(name))
    lesson = now.next_lesson
    if lesson is None:
        exams = list(exam_files(desk.teaching.folders))
        sit = f" Next: `badride exam sit {_quoted(name)} {exams[0]}`." if exams else ""
        click.echo(f"Every unit is done.{sit}")
    else:
        what = "example" if now.is_to_be_seen(lesson) else "lesson"
        go = f"`badride course go {_quoted(name)}`"
        click.echo(f"Next {what}: {lesson.id}, {lesson.title}; {go}.")


def say_in_blocks(blocks: Iterable[Sequence[str]], *, whole: bool = False) -> bool:
    """Say blocks of lines, at a terminal waiting for Enter between them unless all are wanted as a
    `whole`. False when it was broken off."""
    blocks = list(blocks)
    for block in blocks:
        say(block)
        click.echo("")
        if block is not blocks[-1] and not whole and sys.stdin.isatty():
            try:
                click.prompt("Enter goes on", default="", show_default=False, prompt_suffix=": ")
            except click.Abort:
                click.echo("")
                return False
    return True


def standings(
    desk: TrainingDesk, names: Sequence[str] = (), *, archived: bool = False
) -> list[TraineeStanding]:
    """How the trainees named stand, or all of them. Exits for a name that is not there."""
    book = desk.trainees

    def found() -> list[TraineeStanding]:
        named = [book.read(name) for name in names]
        return [desk.standing_of(one) for one in named or book.everybody(archived=archived)]

    return or_exit(found)


def _quoted(name: str) -> str:
    return f'"{name}"' if " " in name else name
