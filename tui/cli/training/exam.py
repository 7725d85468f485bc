"""`exam`: cases without hints, fixed or drawn for each sitting."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.cli.common import Packs, or_exit, pack_option
from tui.cli.person_path import PersonPath
from tui.cli.storing import say, store_and_packs
from tui.cli.training.training_common import open_desk, open_teaching, play_kept, standings

if TYPE_CHECKING:
    from diagnose.training.course.exam import SittingResult
    from diagnose.training.desk import TrainingDesk
    from diagnose.training.records.trainee_book import Sitting


@click.group()
def exam() -> None:
    """Exams: no hints, no coach, the time noted."""


@exam.command("list")
@pack_option
def listed(pack: Packs) -> None:
    """The exams of the rule base."""
    from diagnose.training.course.exam import exam_files, load_exam
    from tui.terminal.columns import table

    teaching = open_teaching(pack)
    paths = exam_files(teaching.folders).values()
    exams = or_exit(lambda: [load_exam(teaching, path) for path in paths])
    rows = [(e.name, e.title, str(e.count), f"{e.pass_mark:g}") for e in exams]
    say(table(rows, ("exam", "title", "cases", "pass mark")) or ["There are none."])


@exam.command("new")
@click.argument("file", type=PersonPath())
@click.option("--title", required=True, help="What it is called.")
@click.option(
    "--case",
    "cases",
    multiple=True,
    required=True,
    help="A lesson, or a seed as in 7, 7:single or 7:single:tyres-or-damping; give it once a case.",
)
@pack_option
def new(file: Path, title: str, cases: tuple[str, ...], pack: Packs) -> None:
    """Write an exam of your own to FILE, checked."""
    from diagnose.records.file_writing import write_text
    from diagnose.training.course.exam import load_exam, write_exam
    from rules.problems import BadInput

    teaching = open_teaching(pack)

    def written() -> int:
        if file.suffix not in (".yaml", ".yml") or file.exists():
            raise BadInput(f"{file}: give a new file whose name ends in .yaml")
        write_text(file, write_exam(title, cases))
        try:
            return load_exam(teaching, file).count
        except BadInput:
            file.unlink()
            raise

    count = or_exit(written)
    click.echo(f"{file} is written: {count} cases. `badride exam sit TRAINEE {file}` begins it.")


@exam.command("sit")
@click.argument("trainee")
@click.argument("name")
@click.option("--give-up", is_flag=True, help="End the sitting; cases not done count as nothing.")
@store_and_packs
def sit(trainee: str, name: str, give_up: bool, store: str | None, pack: Packs) -> None:
    """Sit exam NAME, or one from a file; one that was broken off goes on."""
    from diagnose.training.course.exam import find_exam
    from tui.training.plain.exam_lines import sitting_terms

    desk = open_desk(pack, store)
    found = or_exit(lambda: find_exam(desk.teaching, name))
    sitting = or_exit(lambda: desk.begin_sitting(trainee, found))
    if not give_up:
        total = len(sitting.begun.cases)
        click.echo(f"{sitting.begun.title}: {total} cases, no hints. The time is noted.")
        say(sitting_terms(sitting.begun))
        if not _all_cases(desk, trainee, sitting):
            return
    or_exit(lambda: desk.end_sitting(trainee, sitting, given_up=give_up))
    or_exit(lambda: desk.after_case(trainee))
    _say_result(desk, trainee, sitting)


def _all_cases(desk: TrainingDesk, trainee: str, sitting: Sitting) -> bool:
    """Case after case; False when the trainee leaves before the last is done."""
    from diagnose.training.words.course_words import LEAVING_EXAM_CASE

    total = len(sitting.begun.cases)
    while True:
        encounter = or_exit(lambda: desk.next_exam_case(trainee, sitting))
        if encounter is None:
            return True
        done = sum(score is not None for score in _result(desk, trainee, sitting).scores)
        click.echo("")
        click.echo(f"CASE {done + 1} OF {total}")
        if not play_kept(
            encounter, coach=False, show_score=False, before_leaving=LEAVING_EXAM_CASE
        ):
            return False


def _result(desk: TrainingDesk, trainee: str, sitting: Sitting) -> SittingResult:
    sat = or_exit(lambda: desk.standing(trainee)).sat
    return next(result for result in sat if result.sitting.number == sitting.number)


def _say_result(desk: TrainingDesk, trainee: str, sitting: Sitting) -> None:
    from tui.training.plain.exam_lines import sitting_lines

    rows = or_exit(lambda: desk.standing(trainee)).rows
    click.echo("")
    say(sitting_lines(_result(desk, trainee, sitting), rows))


@exam.command("results")
@click.argument("name")
@store_and_packs
def results(name: str, store: str | None, pack: Packs) -> None:
    """Everybody's latest sitting of exam NAME, and which differences are more than luck."""
    from tui.training.plain.exam_lines import results_lines

    say(results_lines(standings(open_desk(pack, store)), Path(name).stem))
