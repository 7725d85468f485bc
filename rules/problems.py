"""What is wrong with a file, worded so that its author can correct it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any


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

    def __reduce__(self) -> tuple[Any, ...]:
        """As it is, not by what its class is made from: a worker's error keeps its words."""
        return _as_it_was, (type(self), self.args), vars(self)


def _as_it_was(kind: type[BadInput], args: tuple[Any, ...]) -> BadInput:
    return kind.__new__(kind, *args)


MOST_TOLD = 50
"""As many problems of a file are told; nobody reads more, and a hostile file has no end of them."""


class FileProblems(BadInput):
    """One or more `Problem`s, sorted by place; the message tells the first of them."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(set(problems)))
        told = [str(problem) for problem in self.problems[:MOST_TOLD]]
        if len(self.problems) > MOST_TOLD:
            told.append(f"and {len(self.problems) - MOST_TOLD} more")
        super().__init__("\n".join(told))


class Collected(list[Problem]):
    """Problems of one file as they are found; raises `FileProblems` once there are more than are
    told, so that no time goes into the rest."""

    def append(self, problem: Problem) -> None:
        """Add one. Raises `FileProblems` where it is one too many."""
        super().append(problem)
        if len(self) > MOST_TOLD:
            raise FileProblems(self)
