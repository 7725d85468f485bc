"""Cases for analysis elsewhere: CSV with a row per case, JSON with everything."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterator
from typing import Any

from sqlalchemy import select

from diagnose.case.events import Case, standing
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.store.entry_lines import write_entry
from diagnose.records.store.tables import CASES
from diagnose.records.store.times import written

COLUMNS = (
    "case", "bike", "opened", "changed", "state", "outcome", "complaints", "cause", "correction",
    "corrections_done", "last_ride", "answers", "pack",
)  # fmt: skip


def export_csv(book: CaseBook) -> str:
    """A row per case; answers as `observation=value` joined by `;`. Raises `StoreProblem`."""
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\n")
    writer.writeheader()
    for row in _rows(book):
        row["corrections_done"] = "; ".join(row["corrections_done"])
        row["answers"] = "; ".join(f"{name}={value}" for name, value in row["answers"].items())
        writer.writerow({name: harmless(row[name]) for name in COLUMNS})
    return out.getvalue()


def export_json(book: CaseBook) -> str:
    """One document with every case and its journal. Raises `StoreProblem`."""
    cases = []
    for row in _rows(book):
        row["machine"] = row.pop("_machine")
        row["journal"] = row.pop("_journal")
        cases.append(row)
    document = {"format": "badride-cases", "version": 1, "cases": cases}
    return json.dumps(document, ensure_ascii=False, indent=1) + "\n"


def _rows(book: CaseBook) -> Iterator[dict[str, Any]]:
    with book.store.reading() as connection:
        heads = connection.execute(select(CASES).order_by(CASES.c.id)).mappings().all()
        for head in heads:
            kept = book.read_in(connection, head["id"])
            now = standing(kept.case)
            yield {
                "case": kept.id,
                "bike": kept.bike or "",
                "opened": head["opened_at"],
                "changed": head["changed_at"],
                "state": head["state"],
                "outcome": head["outcome"] or "",
                "complaints": head["complaints"],
                "cause": head["cause"] or "",
                "correction": head["correction"] or "",
                "corrections_done": list(now.corrections),
                "last_ride": now.rides[-1].report if now.rides else "",
                "answers": _answers(kept.case),
                "pack": head["pack"],
                "_machine": dict(kept.case.machine),
                "_journal": [
                    {"at": written(at), **json.loads(write_entry(entry))}
                    for entry, at in kept.entries
                ],
            }


def _answers(case: Case) -> dict[str, str]:
    """The latest answer to each observation that says something."""
    found = {}
    for name, answer in standing(case).answers.items():
        if answer.reading is not None:
            found[name] = f"{answer.reading.value!r} {answer.reading.unit}"
        elif answer.state is not None:
            found[name] = answer.state
    return found


_FORMULA = re.compile(r"(^|[;,\t\r\n]\s*)(?=[=+\-@\t\r\N{FULLWIDTH EQUALS SIGN}])")


def harmless(cell: Any) -> Any:
    """The cell with an apostrophe before whatever a spreadsheet would run as a formula, also after
    a semicolon at which it might split the cell."""
    return _FORMULA.sub(r"\1'", cell) if isinstance(cell, str) else cell
