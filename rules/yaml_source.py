"""Read YAML written by strangers, and remember the position of every part.

PyYAML keeps neither positions nor duplicate keys and reads `no` as false, so plain data is built
here from the parser's events, without aliases and within limits of depth and size.
"""

from __future__ import annotations

import re
import stat
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Any, NoReturn

import yaml
from pydantic import ValidationError

from rules.near_words import nearest
from rules.problems import FileProblems, Problem
from rules.wording import shape_trouble, yaml_trouble

MAX_BYTES = 2_000_000
MAX_DEPTH = 24
MAX_EVENTS = 200_000
MAX_KEY = 200
MAX_TEXT = 20_000
_MOST_PROBLEMS = 1_000  # more than an honest file has; all are sorted before the first are told

Location = tuple[str | int, ...]

try:
    from yaml import CSafeLoader

    Loader: type[Any] = CSafeLoader
except ImportError:  # a PyYAML built without libyaml
    from yaml import SafeLoader

    Loader = SafeLoader

_NULL = {"", "~", "null"}
_INTEGER = re.compile(r"[-+]?(?:0|[1-9][0-9]{0,17})")
# characters that would control a terminal or turn the direction of writing if printed
_STEERING = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
_NAMELIKE = re.compile(r"[\w./<>-]{1,60}")
_DECIMAL = re.compile(r"[-+]?(?:0|[1-9][0-9]{0,17})\.[0-9]{1,20}")


@dataclass(slots=True)
class YamlText:
    """Plain data from one YAML text, with the (line, column) of every path in it.

    `copied` counts the letters that `for_each` has made of it.
    """

    file: str
    data: Any
    positions: dict[Location, tuple[int, int]] = field(repr=False)
    copied: int = 0

    def place(self, location: Sequence[str | int]) -> tuple[int, int]:
        """The position of `location`, or of the nearest parent that stands in the file."""
        path = tuple(location)
        while path and path not in self.positions:
            path = path[:-1]
        return self.positions.get(path, (1, 1))

    def problem(self, code: str, location: Sequence[str | int], message: str) -> Problem:
        """A `Problem` at `location`."""
        line, column = self.place(location)
        return Problem(self.file, line, column, code, dotted(location), message)

    def from_validation(self, error: ValidationError, prefix: Location = ()) -> list[Problem]:
        """pydantic's errors as `Problem`s; `prefix` is where the validated part stands."""
        return [
            self.problem(code, prefix + location, message)
            for location, code, message in islice(invalid_parts(error), _MOST_PROBLEMS)
        ]


def invalid_parts(error: ValidationError) -> Iterator[tuple[Location, str, str]]:
    """(location, code, message) for each of pydantic's errors, worded for the file's author."""
    told: set[tuple[Location, str]] = set()
    for item in error.errors(include_url=False):
        kind, location = item["type"], tuple(item["loc"])
        message = shape_trouble(kind, item["msg"], item.get("ctx", {}), item["input"])
        if (location, message) not in told:
            told.add((location, message))
            yield location, kind.replace("_", "-"), message


def dotted(location: Sequence[str | int]) -> str:
    """`('causes', 2, 'source')` as `causes[2].source`; an empty name stands for nothing.

    What does not look like a name is not repeated: a file that is no file of ours may hold secrets.
    """
    text = ""
    for part in location:
        if part == "":
            continue
        if isinstance(part, str) and not _NAMELIKE.fullmatch(part):
            part = "..."  # noqa: PLW2901
        text += f"[{part}]" if isinstance(part, int) else (f".{part}" if text else part)
    return text


def suggest(word: str, known: Sequence[str]) -> str:
    """`; did you mean 'x'?` when something close is known, else nothing."""
    close = nearest(word, known)
    return f"; did you mean {close!r}?" if close else ""


def read_yaml_file(path: Path, name: str | None = None) -> YamlText:
    """Read one file. Raises `FileProblems` when it cannot be read or is not one YAML document."""
    label = name or str(path)
    return read_yaml_bytes(read_raw(path, label), label)


def read_raw(path: Path, label: str) -> bytes:
    """The bytes of a file, a byte more than `MAX_BYTES` at most. Raises `FileProblems`."""
    try:
        mode = path.stat().st_mode
        if not stat.S_ISREG(mode) and not stat.S_ISDIR(mode):
            # reading a pipe would wait, and reading a device would never end
            raise FileProblems([_whole(label, "unreadable", "this is not a file")])
        with path.open("rb") as file:
            return file.read(MAX_BYTES + 1)
    except OSError as error:
        reason = error.strerror or str(error)
        raise FileProblems([_whole(label, "unreadable", reason)]) from error


def read_yaml_bytes(raw: bytes, name: str) -> YamlText:
    """Read one document from bytes. Raises `FileProblems`."""
    if len(raw) > MAX_BYTES:
        message = f"more than {MAX_BYTES} bytes; split the file"
        raise FileProblems([_whole(name, "too-large", message)])
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise FileProblems(
            [Problem(name, line, 1, "not-utf-8", "", "save the file as UTF-8 text")]
        ) from error
    for number, row in enumerate(text.splitlines(), 1):
        indent = row[: len(row) - len(row.lstrip())]
        if "\t" in indent:
            column = indent.index("\t") + 1
            raise FileProblems(
                [Problem(name, number, column, "tab", "", "indent with spaces, not tabs")]
            )
    return _compose(text, name)


def _whole(name: str, code: str, message: str) -> Problem:
    return Problem(name, 1, 1, code, "", message)


def _compose(text: str, name: str) -> YamlText:
    builder = _Builder(name)
    try:
        events = yaml.parse(text, Loader=Loader)
        data = builder.document(events)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
        reason = getattr(error, "problem", None) or str(error)
        message = yaml_trouble(reason)
        raise FileProblems([Problem(name, line, column, "yaml", "", message)]) from error
    except FileProblems:
        raise
    except ValueError as error:  # libyaml refuses control characters this way
        raise FileProblems([_whole(name, "yaml", yaml_trouble(str(error)))]) from error
    if builder.problems:
        raise FileProblems(builder.problems)
    return YamlText(name, data, builder.positions)


class _Builder:
    """Turns the parser's events into plain data, noting positions and repeated keys.

    Only null, true/false, decimal integers and decimal fractions are more than text: YAML 1.1's
    other guesses (`no` as false, `12:30` as 750, dates) would corrupt what people write.
    """

    def __init__(self, name: str) -> None:
        self.name = name
        self.positions: dict[Location, tuple[int, int]] = {}
        self.problems: list[Problem] = []
        self._events: Iterator[yaml.Event] = iter(())
        self._count = 0

    def document(self, events: Iterator[yaml.Event]) -> Any:
        """The data of the only document. Raises `FileProblems` for none, several or too much."""
        self._events = events
        self._next()  # the stream starts
        if isinstance(self._next(), yaml.StreamEndEvent):
            raise FileProblems([_whole(self.name, "empty", "the file holds nothing")])
        data = self._value(self._next(), ())
        self._next()  # the document ends
        after = self._next()
        if not isinstance(after, yaml.StreamEndEvent):
            self._stop(after, "yaml", yaml_trouble("expected a single document"))
        return data

    def _next(self) -> yaml.Event:
        self._count += 1
        event = next(self._events)
        if self._count > MAX_EVENTS:
            self._stop(event, "too-large", f"over {MAX_EVENTS} YAML events")
        return event

    def _value(self, event: yaml.Event, path: Location) -> Any:
        place = _place(event)
        self.positions.setdefault(path, place)
        if isinstance(event, yaml.AliasEvent):
            self._stop(event, "alias", "YAML aliases are not accepted")
        if len(path) >= MAX_DEPTH:
            self._stop(event, "too-deep", f"nested over {MAX_DEPTH} levels")
        tag = getattr(event, "tag", None)
        if tag not in (None, "!"):
            self._add(place, "tag", path, f"the YAML tag {tag!r} is not accepted")
        if isinstance(event, yaml.MappingStartEvent):
            return self._mapping(path)
        if isinstance(event, yaml.SequenceStartEvent):
            return self._sequence(path)
        if len(getattr(event, "value", "")) > MAX_TEXT:
            self._stop(event, "too-large", f"a text of over {MAX_TEXT} letters")
        self._plain(event)
        return _scalar(event)

    def _sequence(self, path: Location) -> list[Any]:
        items: list[Any] = []
        while not isinstance(event := self._next(), yaml.SequenceEndEvent):
            items.append(self._value(event, (*path, len(items))))
        return items

    def _mapping(self, path: Location) -> dict[str, Any]:
        data: dict[str, Any] = {}
        while not isinstance(event := self._next(), yaml.MappingEndEvent):
            if not isinstance(event, yaml.ScalarEvent):
                self._stop(event, "key", "a key must be a plain word")
            key = event.value
            if len(key) > MAX_KEY:
                self._stop(event, "key", f"a key of over {MAX_KEY} letters")
            self._plain(event)
            place = (*path, key)
            if key in data:
                first = self.positions[place][0]
                self._add(_place(event), "duplicate-key", place, f"already given on line {first}")
                self._value(self._next(), place)
                continue
            self.positions[place] = _place(event)
            data[key] = self._value(self._next(), place)
        return data

    def _plain(self, event: yaml.Event) -> None:
        steering = _STEERING.search(getattr(event, "value", ""))
        if steering:
            code = f"U+{ord(steering[0]):04X}"
            self._stop(event, "control", f"a text must not hold the control character {code}")

    def _add(self, place: tuple[int, int], code: str, path: Location, message: str) -> None:
        self.problems.append(Problem(self.name, *place, code, dotted(path), message))

    def _stop(self, event: yaml.Event, code: str, message: str) -> NoReturn:
        raise FileProblems([Problem(self.name, *_place(event), code, "", message)])


def _place(event: yaml.Event) -> tuple[int, int]:
    mark = event.start_mark
    return (mark.line + 1, mark.column + 1) if mark else (1, 1)


def _scalar(event: Any) -> Any:
    value: str = event.value
    if not event.implicit[0]:  # quoted
        return value
    if value in _NULL:
        return None
    if value in ("true", "false"):
        return value == "true"
    if _INTEGER.fullmatch(value):
        return int(value)
    if _DECIMAL.fullmatch(value):
        return float(value)
    return value
