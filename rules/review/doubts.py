"""What is doubtful in a pack that loads; a doubt never stops the pack from working."""

from __future__ import annotations

from dataclasses import dataclass

from rules.rulebase import RuleBase
from rules.yaml_source import dotted


@dataclass(frozen=True, slots=True, order=True)
class Doubt:
    """Something worth a second look, where it stands (1-based), and what to do about it."""

    file: str
    line: int
    column: int
    code: str
    field: str
    message: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}:{self.column}"
        return f"{place}: warning[{self.code}] {self.field}: {self.message}"


def doubt(
    rules: RuleBase, name: tuple[str, str], path: tuple[str | int, ...], code: str, message: str
) -> Doubt:
    """A doubt about a part of the entry `name` (section, id), where that part was written."""
    at = rules.origin(*name, *path)
    return Doubt(at.file, at.line, at.column, code, dotted((*name, *path)), message)
