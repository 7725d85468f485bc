"""`case`: the rule base without an interview."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from tui.cli.common import (
    Packs,
    open_assessor,
    or_exit,
    pack_option,
)
from tui.cli.person_path import PersonPath
from tui.cli.storing import say


@click.command()
@click.argument("file", type=PersonPath(allow_dash=True))
@click.option("--json", "as_json", is_flag=True, help="One JSON document instead of text.")
@click.option(
    "--out",
    type=PersonPath(dir_okay=False),
    help="For a folder: where the lines of JSON go. Run again to go on where a run stopped.",
)
@pack_option
def case(file: Path, as_json: bool, out: Path | None, pack: Packs) -> None:
    """Rank the causes of a case FILE (- for standard input) and give the next step.

    A FILE may tell the rider's `story` instead of `complaints`: what is sure in it is taken.

    FILE may be a folder of case files: every one gets a line of JSON in the file that --out names,
    and one that cannot be read does not stop the others.
    """
    if file.is_dir():
        from tui.cli.cases.folder import judge_folder

        if out is None or as_json:
            raise click.UsageError("a folder of cases needs --out FILE.jsonl, and no --json")
        judge_folder(file, out, pack)
        return
    if out is not None:
        raise click.UsageError("--out is for a folder of cases")
    from diagnose.advice.taking_along import goes_along, take_along
    from diagnose.case.files import case_from_bytes, load_case
    from diagnose.listening.listen import listener_of
    from diagnose.listening.story_case import heard_case, is_to_be_heard

    assessor = open_assessor(pack)
    rules = assessor.rules
    if str(file) == "-":
        raw = sys.stdin.buffer.read()
        given = or_exit(lambda: case_from_bytes(rules, raw, "standard input"))
    else:
        given = or_exit(lambda: load_case(rules, file))
    story = None
    if is_to_be_heard(given):
        given, story = or_exit(lambda: heard_case(listener_of(rules), given))
    assessment = or_exit(lambda: assessor.assess(given))
    if as_json:
        from diagnose.words.assessment_document import document

        along = take_along(assessor, assessment) if goes_along(assessment) else None
        click.echo(document(rules, given, assessment, story, along).model_dump_json(indent=2))
        return
    from diagnose.words.heard_words import heard_lines
    from tui.plain.lines import next_step_lines, summary_lines

    if story is not None:
        say((*heard_lines(rules, story), ""))
    say(summary_lines(rules, given, assessment))
    say(next_step_lines(rules, given, assessment))
    if goes_along(assessment):
        from diagnose.records.cases.keeping import unkept
        from tui.plain.card_lines import card_lines
        from tui.terminal.clock import now

        kept = unkept(rules, given, None, now())
        say(("", *card_lines(assessor, kept, assessment, "take-along")))
