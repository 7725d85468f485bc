"""Training cases for analysis elsewhere: CSV with a row per case."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from diagnose.records.cases.exporting import harmless
from diagnose.records.store.times import written
from diagnose.training.customers.guide import MEASURES
from diagnose.training.desk import TraineeStanding

COLUMNS = (
    "trainee", "case", "lesson", "exam", "sitting", "scenario", "level", "theme", "began",
    "changed", "state", "total", "passed", "failed_because", "bench_minutes", "cost_ratio", "hints",
    *(f"share_{measure}" for measure in MEASURES), "causes", "groups", "named", "pack",
)  # fmt: skip


def export_csv(people: Sequence[TraineeStanding], pack: str) -> str:
    """A row per case made on `pack`; totals are 0 to 100, shares 0 to 1."""
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\n")
    writer.writeheader()
    for person in people:
        for row in _rows(person, pack):
            writer.writerow({name: harmless(row[name]) for name in COLUMNS})
    return out.getvalue()


def _rows(person: TraineeStanding, pack: str) -> list[dict[str, object]]:
    exams = {sat.sitting.number: sat.sitting.begun.exam for sat in person.sat}
    rows = []
    for attempt in person.rows:
        row: dict[str, object] = dict.fromkeys(COLUMNS, "")
        row |= {
            "trainee": person.trainee.name,
            "case": attempt.id,
            "lesson": attempt.lesson or "",
            "exam": exams.get(attempt.sitting or 0, ""),
            "sitting": attempt.sitting or "",
            "scenario": attempt.scenario,
            "began": written(attempt.began),
            "changed": written(attempt.changed),
            "state": "open" if attempt.result is None else "finished",
            "pack": pack,
        }
        if attempt.result is not None:
            result = attempt.result
            row |= {
                "level": result.level,
                "theme": result.theme,
                "total": round(result.total, 2),
                "passed": "yes" if result.passed else "no",
                "failed_because": result.failed,
                "bench_minutes": round(result.minutes, 2),
                "cost_ratio": round(result.cost_ratio, 4),
                "hints": result.hints,
                "causes": "; ".join(result.causes),
                "groups": "; ".join(result.groups),
                "named": "; ".join(result.named),
            }
            row |= {f"share_{key}": round(share, 4) for key, share in result.measures.items()}
        rows.append(row)
    return rows
