"""Lists of symptoms and their causes from YAML, read as rows that the pack can be held against."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from diagnose.authoring.coverage_table import SymptomRow
from diagnose.case.events import Event, read_answer, read_complaint
from rules.rulebase import RuleBase, complaint_nodes


@dataclass(frozen=True)
class Listed:
    """One listed cause of one symptom."""

    table: str
    number: int
    body: Mapping[str, Any]

    @property
    def name(self) -> str:
        """What the row is called in the id of a test."""
        return f"{self.table}-{self.number}"

    def row(self, rules: RuleBase) -> SymptomRow:
        """The row in the form that `diagnose.authoring.coverage` takes."""
        tellings: list[tuple[Event, ...]] = [
            (read_complaint(rules, name),) for name in self.body.get("complaints", ())
        ]
        if "found" in self.body:
            found = self.body["found"].items()
            tellings = [tuple(read_answer(rules, name, text) for name, text in found)]
        symptom, listed, causes = (self.body[k] for k in ("symptom", "listed", "causes"))
        return SymptomRow(self.table, self.number, symptom, listed, tuple(tellings), tuple(causes))

    def fits(self, rules: RuleBase) -> bool:
        """Whether what it names is in the pack, and every cause shows on it."""
        nodes = {n for key, c in rules.complaints.items() for n in complaint_nodes(key, c)}
        wanted = set(self.body.get("complaints") or self.body["found"])
        shown = [
            {link.node for link in rules.links if link.cause == cause}
            for cause in self.body["causes"]
        ]
        return wanted <= {*nodes, *rules.observations} and all(wanted & nodes for nodes in shown)


def read_tables(path: Path) -> dict[str, dict[str, Any]]:
    """Each list by its name: where it is from, and its rows."""
    tables: dict[str, dict[str, Any]] = yaml.safe_load(path.read_text(encoding="utf-8"))["tables"]
    return tables


def rows_of(tables: Mapping[str, Mapping[str, Any]]) -> list[Listed]:
    """Every row of every list, also those that are left out."""
    return [
        Listed(table, number, body)
        for table, entry in tables.items()
        for number, body in enumerate(entry["rows"], 1)
    ]
