"""Read YAML from people we do not know, and remember where everything stood.

PyYAML keeps neither positions nor duplicate keys and reads `no` as false, so documents are composed
to a node tree first and turned into plain data here.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml
from pydantic import ValidationError

from rules.problems import FileProblems, Problem

MAX_BYTES = 2_000_000
MAX_DEPTH = 24
MAX_NODES = 200_000

Location = tuple[str | int, ...]

try:
    from yaml import CSafeLoader as _BaseLoader
except ImportError:  # a PyYAML built without libyaml
    from yaml import SafeLoader as _BaseLoader  # type: ignore[assignment]


class _PlainLoader(_BaseLoader):
    """A safe loader that resolves only null, true/false, decimal integers and decimal fractions.

    YAML 1.1's other guesses (`no` as false, `12:30` as 750, dates) would corrupt what people write.
    """


_PlainLoader.yaml_implicit_resolvers = {}
_PlainLoader.add_implicit_resolver("tag:yaml.org,2002:null", re.compile(r"^(?:~|null|)$"), None)
_PlainLoader.add_implicit_resolver("tag:yaml.org,2002:bool", re.compile(r"^(?:true|false)$"), "tf")
_PlainLoader.add_implicit_resolver(
    "tag:yaml.org,2002:int", re.compile(r"^[-+]?(?:0|[1-9][0-9]*)$"), "-+0123456789"
)
_PlainLoader.add_implicit_resolver(
    "tag:yaml.org,2002:float", re.compile(r"^[-+]?(?:0|[1-9][0-9]*)\.[0-9]+$"), "-+0123456789"
)


@dataclass(slots=True)
class Document:
    """Plain data from one YAML text, with the (line, column) of every path in it."""

    file: str
    data: Any
    positions: dict[Location, tuple[int, int]] = field(repr=False)

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
        found = []
        for item in error.errors(include_url=False):
            location = prefix + tuple(item["loc"])
            message = item["msg"].removeprefix("Value error, ")
            if item["type"] == "extra_forbidden":
                message = "this key is not known here"
            elif item["type"] == "missing":
                message = "this key is required"
            found.append(self.problem(item["type"].replace("_", "-"), location, message))
        return found


def dotted(location: Sequence[str | int]) -> str:
    """`('causes', 2, 'source')` as `causes[2].source`."""
    text = ""
    for part in location:
        text += f"[{part}]" if isinstance(part, int) else (f".{part}" if text else part)
    return text


def suggest(word: str, known: Sequence[str]) -> str:
    """`; did you mean 'x'?` when something close is known, else nothing."""
    close = difflib.get_close_matches(word, known, n=1)
    return f"; did you mean {close[0]!r}?" if close else ""


def read_yaml_file(path: Path, name: str | None = None) -> Document:
    """Read one file. Raises `FileProblems` when it cannot be read or is not one YAML document."""
    label = name or str(path)
    try:
        size = path.stat().st_size
        if size > MAX_BYTES:
            raise FileProblems(
                [_whole(label, "too-large", f"{size} bytes; at most {MAX_BYTES} are read")]
            )
        raw = path.read_bytes()
    except OSError as error:
        reason = error.strerror or str(error)
        raise FileProblems([_whole(label, "unreadable", reason)]) from error
    return read_yaml_bytes(raw, label)


def read_yaml_bytes(raw: bytes, name: str) -> Document:
    """Read one document from bytes. Raises `FileProblems`."""
    if len(raw) > MAX_BYTES:
        raise FileProblems([_whole(name, "too-large", f"more than {MAX_BYTES} bytes")])
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


def _compose(text: str, name: str) -> Document:
    try:
        loader = _PlainLoader(text)
        try:
            _refuse_deep_or_aliased(text, name)
            node = loader.get_single_node()
        finally:
            loader.dispose()
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
        reason = getattr(error, "problem", None) or str(error)
        raise FileProblems([Problem(name, line, column, "yaml", "", reason)]) from error
    except FileProblems:
        raise
    except ValueError as error:  # libyaml refuses control characters this way
        raise FileProblems([_whole(name, "yaml", str(error))]) from error
    if node is None:
        raise FileProblems([_whole(name, "empty", "the file holds nothing")])
    builder = _Builder(name)
    data = builder.build(node, ())
    if builder.problems:
        raise FileProblems(builder.problems)
    return Document(name, data, builder.positions)


def _refuse_deep_or_aliased(text: str, name: str) -> None:
    """Walk the event stream first: composing a deep document or an alias bomb is the danger."""
    depth = 0
    for count, event in enumerate(yaml.parse(text, Loader=_PlainLoader), 1):
        if isinstance(event, yaml.AliasEvent):
            raise FileProblems([_at(name, event, "alias", "YAML aliases are not accepted")])
        if isinstance(event, yaml.CollectionStartEvent):
            depth += 1
        elif isinstance(event, yaml.CollectionEndEvent):
            depth -= 1
        if depth > MAX_DEPTH:
            raise FileProblems([_at(name, event, "too-deep", f"nested over {MAX_DEPTH} levels")])
        if count > MAX_NODES:
            raise FileProblems([_at(name, event, "too-large", f"over {MAX_NODES} YAML events")])


def _at(name: str, event: yaml.Event, code: str, message: str) -> Problem:
    mark = event.start_mark
    line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
    return Problem(name, line, column, code, "", message)


class _Builder:
    """Turns a node tree into plain data while noting positions and repeated keys."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.positions: dict[Location, tuple[int, int]] = {}
        self.problems: list[Problem] = []

    def build(self, node: yaml.Node, path: Location) -> Any:
        mark = node.start_mark
        self.positions.setdefault(path, (mark.line + 1, mark.column + 1))
        if isinstance(node, yaml.MappingNode):
            return self._mapping(node, path)
        if isinstance(node, yaml.SequenceNode):
            return [self.build(item, (*path, index)) for index, item in enumerate(node.value)]
        return self._scalar(node, path)

    def _mapping(self, node: yaml.MappingNode, path: Location) -> dict[str, Any]:
        data: dict[str, Any] = {}
        for key_node, value_node in node.value:
            line, column = key_node.start_mark.line + 1, key_node.start_mark.column + 1
            if not isinstance(key_node, yaml.ScalarNode):
                self._add(line, column, "key", path, "a key must be a plain word")
                continue
            key = key_node.value
            place = (*path, key)
            if key in data:
                first = self.positions[place][0]
                self._add(line, column, "duplicate-key", place, f"already given on line {first}")
                continue
            self.positions[place] = (line, column)
            data[key] = self.build(value_node, place)
        return data

    def _scalar(self, node: yaml.Node, path: Location) -> Any:
        value: str = node.value
        kind = node.tag.rpartition(":")[2]
        if kind == "null":
            return None
        if kind == "bool":
            return value == "true"
        if kind == "int" and len(value) <= 18:
            return int(value)
        if kind == "float" and len(value) <= 40:
            return float(value)
        if kind in {"str", "int", "float"}:
            return value
        line, column = self.positions[path]
        self._add(line, column, "tag", path, f"the YAML tag {node.tag!r} is not accepted")
        return None

    def _add(self, line: int, column: int, code: str, path: Location, message: str) -> None:
        self.problems.append(Problem(self.name, line, column, code, dotted(path), message))
