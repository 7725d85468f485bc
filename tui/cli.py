"""The command line. Exit status: 0 done, 2 bad input, 130 interrupted."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import click

if TYPE_CHECKING:
    from rules.rulebase import RuleBase

BAD_INPUT = 2
INTERRUPTED = 130

T = TypeVar("T")


def _or_exit(work: Callable[[], T]) -> T:
    """Run `work`; bad input becomes its message on standard error and exit status 2."""
    from rules.problems import BadInput

    try:
        return work()
    except BadInput as error:
        click.echo(str(error), err=True)
        sys.exit(BAD_INPUT)


def _rules(pack: Path | None) -> RuleBase:
    from rules.loader import OFFROAD, load_pack

    return _or_exit(lambda: load_pack(pack or OFFROAD))


_pack = click.option(
    "--pack",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder of another rule base.",
)
_at_once = click.option(
    "--causes-at-once",
    type=click.IntRange(1, 3),
    default=2,
    show_default=True,
    help="How many causes may be at work together; 3 is slower.",
)


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="badride")
def main() -> None:
    """From a bad ride to its cause, its correction and a ride that proves it."""


@main.command()
@_pack
@_at_once
def ask(pack: Path | None, causes_at_once: int) -> None:
    """Interview line by line, in any terminal."""
    from diagnose.interview import Interview, Workshop
    from tui.plain import PlainInterview

    interview = Interview(Workshop(_rules(pack), causes_at_once))
    try:
        PlainInterview(interview, _read_line, click.echo).run()
    except KeyboardInterrupt:
        click.echo("\nStopped.")
        sys.exit(INTERRUPTED)


def _read_line(prompt: str) -> str:
    click.echo(prompt, nl=False)
    line = sys.stdin.readline()
    if not line:
        click.echo("")
        raise EOFError
    return line


@main.command()
@click.argument("file", type=click.Path(path_type=Path, allow_dash=True))
@click.option("--json", "as_json", is_flag=True, help="One JSON document instead of text.")
@_pack
@_at_once
def case(file: Path, as_json: bool, pack: Path | None, causes_at_once: int) -> None:
    """Rank the causes of a case FILE (- for standard input) and give the next step."""
    from diagnose.casefile import case_from_bytes, load_case
    from diagnose.interview import Workshop

    rules = _rules(pack)
    if str(file) == "-":
        raw = sys.stdin.buffer.read()
        given = _or_exit(lambda: case_from_bytes(rules, raw, "standard input"))
    else:
        given = _or_exit(lambda: load_case(rules, file))
    assessment = Workshop(rules, causes_at_once).assess(given)
    if as_json:
        from diagnose.report import document

        click.echo(document(rules, given, assessment).model_dump_json(indent=2))
        return
    from tui.lines import next_step_lines, summary_lines

    for line in (
        *summary_lines(rules, given, assessment),
        *next_step_lines(rules, given, assessment),
    ):
        click.echo(line)


@main.command("list")
@click.argument("what", type=click.Choice(["causes", "complaints", "observations"]))
@_pack
def list_entries(what: str, pack: Path | None) -> None:
    """Print what the rule base holds, an entry a line: id, then what it is."""
    rules = _rules(pack)
    if what == "causes":
        rows = [(key, entry.title, entry.group) for key, entry in rules.causes.items()]
    elif what == "complaints":
        rows = [
            (key, entry.title, ", ".join(entry.places)) for key, entry in rules.complaints.items()
        ]
    else:
        rows = [(key, entry.ask, entry.kind) for key, entry in rules.observations.items()]
    for key, text, extra in rows:
        click.echo(f"{key}\t{text}\t{extra}".rstrip())
