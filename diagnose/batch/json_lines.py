"""What came of many case files, as a file of JSON lines that a later run goes on with."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from pydantic import BaseModel, ConfigDict, ValidationError

from diagnose.words.heard_document import QuestionItem
from rules.problems import BadInput


class Suspect(BaseModel):
    """A cause and its probability."""

    id: str
    name: str
    probability: float


class NextStep(BaseModel):
    """The step advised: its kind, what it is about, and its words."""

    kind: str
    target: str
    text: str
    minutes: float


class Line(BaseModel):
    """What came of one file: the ranked causes and the next step, or the `error` in it.
    `did_you_mean` is what the rider's story leaves to be asked.

    `basis` is a digest of everything that the answer depends on.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    file: str
    basis: str
    error: str | None = None
    causes: tuple[Suspect, ...] = ()
    nothing_listed: float | None = None
    do_not_ride: tuple[str, ...] = ()
    contradictions: tuple[str, ...] = ()
    next_step: NextStep | None = None
    did_you_mean: tuple[QuestionItem, ...] = ()


def read_lines(path: Path) -> dict[str, Line]:
    """The lines an earlier run wrote, by file; none where there is no such file.

    A last line cut short by a power cut is left out. Raises `BadInput` where the file holds
    something else.
    """
    try:
        raw = path.read_bytes()
    except FileNotFoundError:
        return {}
    except OSError as error:
        raise _failed(path, error) from error
    lines: dict[str, Line] = {}
    for number, text in enumerate(raw[: raw.rfind(b"\n") + 1].splitlines(), 1):
        try:
            line = Line.model_validate_json(text)
        except ValidationError as error:
            message = f"{path}:{number}: not a line that an earlier run wrote; name another file"
            raise BadInput(message) from error
        lines[line.file] = line
    return lines


class LineFile:
    """A file of lines being written; every line is handed to the system as soon as it is known."""

    def __init__(self, path: Path, stream: IO[str]) -> None:
        self._path = path
        self._stream = stream

    def add(self, line: Line) -> None:
        """Append a line. Raises `BadInput` where the disk takes no more."""
        try:
            self._stream.write(line.model_dump_json() + "\n")
            self._stream.flush()
        except OSError as error:
            raise _failed(self._path, error) from error


@contextmanager
def line_file(path: Path, kept: Iterable[Line]) -> Iterator[LineFile]:
    """A file that begins with the lines in `kept` and takes more; it replaces the old file at once.

    Raises `BadInput` where it cannot be written.
    """
    fresh = path.with_name(f"{path.name}.new")
    try:
        with fresh.open("w", encoding="utf-8") as file:
            file.writelines(f"{line.model_dump_json()}\n" for line in kept)
            file.flush()
            os.fsync(file.fileno())
        fresh.replace(path)
        stream = path.open("a", encoding="utf-8")
    except OSError as error:
        raise _failed(path, error) from error
    with stream:
        yield LineFile(path, stream)


def _failed(path: Path, error: OSError) -> BadInput:
    return BadInput(f"{path}: {error.strerror or error}")
