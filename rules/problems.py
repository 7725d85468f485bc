"""What is wrong with a file, worded so that its author can correct it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One thing wrong in a file: where (1-based line and column), which field, and what to do."""

    file: str
    line: int
    column: int
    code: str
    field: str
    message: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}:{self.column}"
        field = f" at {self.field}" if self.field else ""
        return f"{place}: error[{self.code}]{field}: {self.message}"


def printable(text: str) -> str:
    """`text` with what cannot be printed spelt out, so that it cannot control the terminal."""
    return "".join(
        c if c.isprintable() or c == "\n" else c.encode("unicode_escape").decode() for c in text
    )


class BadInput(ValueError):
    """Something a person wrote cannot be used; `str()` is a message fit to show them."""


class FileProblems(BadInput):
    """One or more `Problem`s, sorted by place."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(set(problems)))
        super().__init__("\n".join(str(problem) for problem in self.problems))
