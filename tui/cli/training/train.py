"""`train`: a training case, in which the trainee chooses every step."""

from __future__ import annotations

import json
import secrets
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.cli.common import Packs, or_exit, refuse
from tui.cli.person_path import PersonPath
from tui.cli.rules.progress_bar import progress
from tui.cli.storing import open_or_exit, say, store_and_packs
from tui.cli.training.training_common import after_lesson, coach_option, open_teaching, play_kept
from tui.terminal.statuses import INTERRUPTED

if TYPE_CHECKING:
    from diagnose.training.course.course import Teaching
    from diagnose.training.customers.scenario import Level, Scenario
    from diagnose.training.desk import TrainingDesk
    from diagnose.training.play.encounter import Encounter

_LEVELS = ("single", "two-causes", "misleading", "not-suspension")
_LARGEST_DRAWN = 100_000
_LARGEST_SEED = 2**31 - 1  # exams draw theirs above


@click.command()
@click.option(
    "--seed", type=click.IntRange(0, _LARGEST_SEED), help="Which case; the same for everybody."
)
@click.option("--level", type=click.Choice(_LEVELS), help="How hard it is.")
@click.option("--theme", metavar="NAME", help="What it is about; `--theme list` lists the themes.")
@click.option("--lesson", metavar="ID", help="A lesson of the course, or a worked case.")
@click.option(
    "--case",
    "case_file",
    type=PersonPath(),
    metavar="FILE",
    help="A case of your own, written in YAML.",
)
@click.option("--trainee", metavar="NAME", help="Keep it among the records of this trainee.")
@coach_option
@click.option("--no-hints", is_flag=True, help="Give no hints.")
@click.option("--json", "as_json", is_flag=True, help="Score and review as JSON at the end.")
@click.option(
    "--simulate",
    type=click.IntRange(10, 100_000),
    metavar="CASES",
    help="Let simulated trainees work this many cases and show how the scores rank them.",
)
@store_and_packs
def train(
    seed: int | None,
    level: Level | None,
    theme: str | None,
    lesson: str | None,
    case_file: Path | None,
    trainee: str | None,
    coach: bool,
    no_hints: bool,
    as_json: bool,
    simulate: int | None,
    store: str | None,
    pack: Packs,
) -> None:
    """Diagnose a bike whose trouble is hidden, step by step, and be scored on the order.

    A customer walks in; you ask, measure, look, correct, send for a ride, hand over. At the end the
    score says what each step was worth when you made it. A case that is left goes on with the same
    options.
    """
    if simulate is not None:
        _simulate(simulate, seed or 0, level, theme, as_json, pack)
        return
    teaching = open_teaching(pack)
    if theme == "list":
        for key, entry in teaching.guide.themes.items():
            click.echo(f"{key}: {entry.title}. {entry.about}")
        return
    if lesson is None and seed is None and case_file is None:
        seed = secrets.randbelow(_LARGEST_DRAWN)
    scenario, words = or_exit(lambda: _scenario(teaching, seed, level, theme, lesson, case_file))
    if trainee is not None:
        from diagnose.training.desk import TrainingDesk

        if as_json:
            refuse(
                "--json and --trainee do not go together; `badride trainee export` has the scores"
            )
        desk = TrainingDesk(teaching, open_or_exit(store))
        _play_kept(desk, trainee, scenario, words, lesson, coach=coach, hints=not no_hints)
        return
    write: Callable[[str], None] = (
        (lambda line: click.echo(line, err=True)) if as_json else click.echo
    )
    # a worked case's name would give it away
    write(f"Case {lesson or case_file or scenario.id}.")
    if lesson is None and case_file is None and len(teaching.rules.packs) > 1:
        write(f"Drawn with {teaching.rules.title}: with other packs this seed is another customer.")
    encounter = _play(teaching, scenario, words, write, coach=coach, hints=not no_hints)
    if as_json:
        from diagnose.training.scoring.score_document import score_document

        click.echo(json.dumps(score_document(encounter), ensure_ascii=False, indent=1))


def _scenario(
    teaching: Teaching,
    seed: int | None,
    level: Level | None,
    theme: str | None,
    lesson: str | None,
    case_file: Path | None,
) -> tuple[Scenario, str]:
    """The case asked for, and the customer's own words if it has any. Raises `BadInput`."""
    from diagnose.training.course.course_lessons import lesson_scenario, load_trainer_case
    from diagnose.training.customers.scenario import WORKED, draw_scenario, scenario_named
    from rules.problems import BadInput

    rules, guide, worked = teaching.rules, teaching.guide, teaching.course.worked
    if lesson is None and case_file is None:
        assert seed is not None
        return draw_scenario(rules, guide, seed, level, theme), ""
    if seed is not None or level or theme or (lesson is not None and case_file is not None):
        raise BadInput(
            "--lesson and --case each name a case; leave the other, --seed, --level and --theme out"
        )
    if case_file is not None:
        return load_trainer_case(rules, guide, case_file)
    assert lesson is not None
    if any(case.name == lesson for case in worked):
        return scenario_named(rules, guide, f"{WORKED}:{lesson}", worked), ""
    found = teaching.course.lesson(lesson)
    return lesson_scenario(rules, guide, found, worked), found.words


def _play_kept(
    desk: TrainingDesk,
    trainee: str,
    scenario: Scenario,
    words: str,
    lesson: str | None,
    *,
    coach: bool,
    hints: bool,
) -> None:
    """Play a case that is kept among a trainee's records; a lesson of the course counts as such."""
    found = next((item for item in desk.course.lessons if item.id == lesson), None)
    encounter = or_exit(
        lambda: (
            desk.begin_lesson(trainee, found, coach=coach, hints=hints)
            if found is not None
            else desk.begin_case(trainee, scenario, words, coach=coach, hints=hints)
        )
    )
    if play_kept(encounter, coach=coach):
        after_lesson(desk, trainee)


def _play(
    teaching: Teaching,
    scenario: Scenario,
    words: str,
    write: Callable[[str], None],
    *,
    coach: bool,
    hints: bool,
) -> Encounter:
    """Play the case from where it was left. Exits where it cannot go on."""
    import platformdirs

    from diagnose.advice.assessor import Assessor
    from diagnose.training.play.unfinished import Unfinished
    from tui.training.plain.plain_play import play

    folder = Path(platformdirs.user_state_dir("badride", appauthor=False)) / "training"
    unfinished = Unfinished(folder)
    assessor = Assessor(teaching.rules)
    encounter = or_exit(lambda: unfinished.go_on(assessor, teaching.guide, scenario, hints))
    if words:
        encounter.customer = replace(encounter.customer, words=(words,))

    def keep(encounter: Encounter) -> None:
        try:
            unfinished.keep(encounter)
        except OSError as error:
            write(f"NOT KEPT, so it cannot go on later: {error}")

    try:
        play(encounter, _reader(write), write, coach=coach, after=keep)
    except KeyboardInterrupt:
        write("\nLeft here; the same case goes on from this step.")
        sys.exit(INTERRUPTED)
    if not encounter.finished:
        write("Left here; the same case goes on from this step.")
    return encounter


def _reader(write: Callable[[str], None]) -> Callable[[str], str]:
    """Reads a line; the prompt goes where everything else is written."""
    err = write is not click.echo

    def read(prompt: str) -> str:
        click.echo(prompt, nl=False, err=err)
        line = sys.stdin.readline()
        if not line:
            write("")
            raise EOFError
        return line

    return read


def _simulate(
    cases: int, seed: int, level: Level | None, theme: str | None, as_json: bool, pack: Packs
) -> None:
    from diagnose.training.course.exam import highest_mark
    from diagnose.training.habits.contest import contest_document, run_contest, standings
    from tui.training.plain.contest_lines import contest_lines

    teaching = open_teaching(pack)
    marks = (teaching.guide.scoring.pass_mark, or_exit(lambda: highest_mark(teaching)))
    seeds = range(seed, seed + cases)
    with progress("Simulated trainees") as bar:
        bar.start(cases)
        bouts = or_exit(lambda: run_contest(pack, seeds, level, theme, bar.step))
    table = standings(bouts, marks[1])
    if as_json:
        click.echo(json.dumps(contest_document(table, bouts, *marks), ensure_ascii=False, indent=1))
    else:
        say(contest_lines(table, *marks))
