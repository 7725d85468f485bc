"""`rules cover`: how far the rule base covers a table of symptoms and causes."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tui.cli.common import Packs, open_assessor, or_exit, pack_option
from tui.cli.person_path import PersonPath
from tui.cli.storing import say
from tui.terminal.statuses import UNSOUND
from tui.terminal.text import wrapped

if TYPE_CHECKING:
    from diagnose.authoring.coverage import Covered


@click.command()
@click.argument("table", type=PersonPath(dir_okay=False))
@click.option("--json", "as_json", is_flag=True, help="The rows as one JSON document.")
@click.option("--gaps", is_flag=True, help="Only the rows that are not covered.")
@pack_option
def cover(table: Path, as_json: bool, gaps: bool, pack: Packs) -> None:
    """Hold a TABLE (a YAML file) of symptoms and their causes against the rule base.

    \b
    table: 1
    title: Our own list
    source: the wall of the workshop
    rows:
      - symptom: beats me up       # an id, a title or a rider's words
        cause: weak spring         # an id or a title
        causes: [spring-soft]      # ids, where the words are not the pack's
        complaints: [squatting]    # the same for the symptom (any of them)
        found: {wheel-rock: yes}   # or something found instead of a complaint
        left_out: reason           # a row that is not meant to be covered

    A row is covered when the symptom alone makes the cause at least half as probable again and
    something other than a question can confirm it. Exit status: 0 covered, 1 gaps, 2 bad input.
    """
    from diagnose.authoring.coverage import cover as look_up
    from diagnose.authoring.coverage_table import load_table

    shop = open_assessor(pack)
    read = or_exit(lambda: load_table(shop.rules, table))
    rows = or_exit(lambda: look_up(shop, read))
    missing = [row for row in rows if row.is_gap]
    meant = [row for row in rows if row.verdict != "left out"]
    if as_json:
        shown = missing if gaps else rows
        document = {
            "title": read.title,
            "source": read.source,
            "rows": len(rows),
            "left_out": len(rows) - len(meant),
            "covered": len(meant) - len(missing),
            "details": [_as_data(row) for row in shown],
        }
        click.echo(json.dumps(document, indent=2, ensure_ascii=False))
    else:
        for row in missing if gaps else rows:
            say(_lines(row))
        share = f" ({(len(meant) - len(missing)) / len(meant):.0%})" if meant else ""
        click.echo(
            f"{read.title}: {len(meant) - len(missing)} of {len(meant)} rows covered{share},"
            f" {len(rows) - len(meant)} left out."
        )
    sys.exit(UNSOUND if missing else 0)


def _lines(row: Covered) -> list[str]:
    mark = "gap: " if row.is_gap else ""
    head = (
        f"{row.row.file}:{row.row.line}: {mark}{row.verdict}: {row.row.symptom} -> {row.row.cause}"
    )
    notes = list(row.row.missing)
    if row.row.left_out:
        notes.append(row.row.left_out)
    if row.path is not None:
        odds = row.path.odds
        shows = f"by itself shows it {row.path.words}" if row.path.words else "no direct link"
        place = f"number {odds.rank}" if odds.rank else "not among the causes of it"
        notes.append(
            f"{row.path.cause}: {shows}; told {row.path.told} alone, {odds.prior:.1%} becomes"
            f" {odds.probability:.1%}, {place}"
        )
    return [*wrapped(head, "  ", ""), *(line for note in notes for line in wrapped(note, "    "))]


def _as_data(row: Covered) -> dict[str, Any]:
    data: dict[str, Any] = {
        "file": row.row.file,
        "line": row.row.line,
        "symptom": row.row.symptom,
        "cause": row.row.cause,
        "verdict": row.verdict,
        "missing": list(row.row.missing),
        "left_out": row.row.left_out,
    }
    if row.path is not None:
        data["path"] = {
            "cause": row.path.cause,
            "told": row.path.told,
            "words": row.path.words,
            "before": row.path.odds.prior,
            "after": row.path.odds.probability,
            "rank": row.path.odds.rank,
        }
    return data
