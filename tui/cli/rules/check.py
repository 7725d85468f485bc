"""`rules check`: what is wrong or doubtful in a rule base."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.cli.common import Packs
from tui.cli.person_path import PersonPath
from tui.terminal.statuses import BAD_INPUT, UNSOUND

if TYPE_CHECKING:
    from rules.review.check_report import ReportItem
    from rules.rulebase import RuleBase


@click.command()
@click.argument("packs", type=PersonPath(), nargs=-1, metavar="[PACK]...")
@click.option("--json", "as_json", is_flag=True, help="Everything found as one JSON document.")
@click.option("--sarif", "as_sarif", is_flag=True, help="Everything found as SARIF 2.1.0.")
def check(packs: Packs, as_json: bool, as_sarif: bool) -> None:
    """Say what is wrong or doubtful in PACK (without one, in the pack that ships).

    Several packs are stacked in the order given, and the pack that ships goes under them where they
    build on it. Of a pack that builds on others only what it brings about is said. What the whole
    stack rests on is counted by kind and grade of source.

    Exit status: 0 sound, 1 loads with doubts, 2 does not load.
    """
    from diagnose.authoring.pack_review import review_packs
    from rules.loading.loader import load_packs
    from rules.problems import FileProblems, printable
    from rules.review.check_report import items

    try:
        rules = load_packs(packs)
        doubts = review_packs(packs, rules)
    except FileProblems as error:
        if as_json or as_sarif:
            _write(items(error.problems, ()), packs, sarif=as_sarif)
        else:
            click.echo(printable(str(error)), err=True)
        sys.exit(BAD_INPUT)
    left_out = _left_out(rules, packs)
    if as_json or as_sarif:
        _write(items((), doubts), packs, sarif=as_sarif, left_out=left_out)
    else:
        for line in [*_resting(rules), *_left_out_lines(left_out)]:
            click.echo(line)
        for doubt in doubts:
            click.echo(str(doubt))
        click.echo(f"{len(doubts) or 'No'} doubt{'' if len(doubts) == 1 else 's'}.")
    sys.exit(UNSOUND if doubts else 0)


def _resting(rules: RuleBase) -> list[str]:
    from rules.review.provenance import provenance
    from tui.terminal.columns import table

    rows = [
        (item.rank, str(item.sources), str(item.entries), str(item.links))
        for item in provenance(rules)
    ]
    head = ("Rests at best on", "sources", "entries", "strengths")
    return [
        *table(rows, head),
        "The number of a strength is judgement, whatever shows the link.",
        "",
    ]


def _left_out(rules: RuleBase, packs: Packs) -> dict[str, str]:
    """Worked cases and lessons that need what is switched off, with its id."""
    from diagnose.training.course.course import load_teaching
    from rules.problems import FileProblems

    try:
        found = load_teaching(rules, packs).left_out if rules.off else {}
    except FileProblems:  # a pack without a course
        return {}
    return {name: key for name, (_, key) in found.items()}


def _left_out_lines(left_out: Mapping[str, str]) -> list[str]:
    from tui.terminal.text import wrapped

    by_reason: dict[str, list[str]] = {}
    for name, key in left_out.items():
        by_reason.setdefault(key, []).append(name)
    return [
        line
        for key, names in by_reason.items()
        for line in wrapped(
            f"Left out of training and of the worked cases, as {key} is switched off: "
            f"{', '.join(names)}.",
            "  ",
        )
    ]


def _write(
    found: Sequence[ReportItem],
    packs: Packs,
    *,
    sarif: bool,
    left_out: Mapping[str, str] | None = None,
) -> None:
    import json
    from importlib.metadata import version

    from rules.loading.pack_files import OFFROAD, paths_by_label
    from rules.review.check_report import check_document, sarif_log

    document = check_document(found, left_out)
    if sarif:
        paths = paths_by_label((OFFROAD, *packs))
        document = sarif_log(found, paths, Path.cwd(), version("badride"))
    click.echo(json.dumps(document, indent=2, ensure_ascii=False))
