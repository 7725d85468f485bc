"""A part put into YAML text that a person wrote: every other letter stays as it is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import yaml

from rules.problems import BadInput
from rules.yaml_source import Loader, read_yaml_bytes

WIDTH = 96
Path = Sequence[str]
Notes = Mapping[str, str]
"""Comments by the name of the field they stand beside."""


class CannotInsert(BadInput):
    """A text whose shape leaves no place for the part; it is left as it is."""


def inserted(text: str, path: Path, value: Any, notes: Notes | None = None) -> str:
    """`text` with `value` at `path`, which is put after what stands there already; a value at the
    very path is replaced. `notes` are written beside the fields of the value.

    Raises `CannotInsert`.
    """
    try:
        root = yaml.compose(text, Loader=Loader)
    except yaml.YAMLError as error:
        raise CannotInsert("the file cannot be read") from error
    made = _joined(text, _block(path, value, 0, notes or {})) if root is None else None
    if made is None:
        assert root is not None
        made = _into(text, root, path, value, notes or {})
    _check(text if root is not None else "", made, path, value)
    return made


def _into(text: str, root: yaml.Node, path: Path, value: Any, notes: Notes) -> str:
    node, depth = root, 0
    while True:
        if not isinstance(node, yaml.MappingNode):
            raise CannotInsert(f"{'.'.join(path[:depth])} holds no keys")
        child = next((below for key, below in node.value if key.value == path[depth]), None)
        if child is None:
            break
        node, depth = child, depth + 1
        if depth == len(path):
            return _replaced(text, node, value)
    rest = path[depth:]
    if node.flow_style:
        end = node.end_mark.index - 1
        before = text[:end].rstrip()
        comma = ", " if node.value else ""
        return f"{before}{comma}{_flow(_nested(rest, value))[1:-1]}{text[end:]}"
    indent = node.start_mark.column
    if not node.value:
        raise CannotInsert(f"{'.'.join(path[:depth])} is empty")
    block = _block(rest, value, indent, notes)
    if node is root:
        return _joined(f"{text.rstrip()}\n", f"\n{block}")
    last = _end(text, node)
    return _joined(text[:last], block) + text[last:]


def _replaced(text: str, node: yaml.Node, value: Any) -> str:
    """The text with one value in place of another, on one line."""
    start, end = node.start_mark.index, node.end_mark.index
    if isinstance(node, yaml.CollectionNode) and not node.flow_style:
        raise CannotInsert("a value over several lines is not replaced")
    if isinstance(node, yaml.ScalarNode) and node.style in ("|", ">"):
        raise CannotInsert("a value over several lines is not replaced")
    return text[:start] + _flow(value) + text[end:]


def _end(text: str, node: yaml.Node) -> int:
    """Where the last line of a mapping ends, its line break included."""
    while isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
        last = node.value[-1]
        node = last[1] if isinstance(last, tuple) else last
    end = len(text[: node.end_mark.index].rstrip())
    line = text.find("\n", end)
    return len(text) if line < 0 else line + 1


def _joined(text: str, block: str) -> str:
    gap = "" if not text or text.endswith("\n") else "\n"
    return f"{text}{gap}{block}"


def _nested(path: Path, value: Any) -> Any:
    for key in reversed(path):
        value = {key: value}
    return value


def _flow(value: Any) -> str:
    made = yaml.safe_dump(
        value, default_flow_style=True, sort_keys=False, allow_unicode=True, width=10**6
    )
    return made.removesuffix("\n").removesuffix("\n...")


def _block(path: Path, value: Any, indent: int, notes: Notes) -> str:
    """`value` at `path` as lines, the fields of the value with their comments."""
    lines = []
    for depth, key in enumerate(path):
        lines.append(f"{' ' * (indent + 2 * depth)}{_flow(key)}:")
    inside = indent + 2 * len(path)
    if not isinstance(value, dict) or not value:
        lines[-1] += f" {_flow(value)}"
        return "\n".join(lines) + "\n"
    for field, part in value.items():
        lines += _field(field, part, inside, notes.get(field, ""))
    return "\n".join(lines) + "\n"


def _field(field: str, part: Any, indent: int, note: str) -> list[str]:
    short = isinstance(part, list) and all(isinstance(item, str) for item in part)
    flow = f"{_flow(field)}: {_flow(part)}"
    if short and len(flow) + indent <= WIDTH and not any(" " in item for item in part):
        made = [flow]
    else:
        dumped = yaml.safe_dump(
            {field: part},
            default_flow_style=False,
            sort_keys=False,
            allow_unicode=True,
            width=WIDTH - indent,
        )
        made = dumped.rstrip("\n").split("\n")
    if note and len(made[0]) + len(note) + indent + 4 <= WIDTH + 4:
        made[0] += f"  # {note}"
    elif note:
        made.insert(0, f"# {note}")
    return [" " * indent + line for line in made]


def _check(before: str, after: str, path: Path, value: Any) -> None:
    """Raises `CannotInsert` unless what was there still is, with `value` at `path`."""
    old = read_yaml_bytes(before.encode(), "before").data if before.strip() else {}
    new = read_yaml_bytes(after.encode(), "after").data
    spot = old
    for key in path[:-1]:
        spot = spot.setdefault(key, {})
    spot[path[-1]] = value
    if _plain(new) != _plain(old):
        raise CannotInsert("the text would come to mean something else")


def _plain(value: Any) -> Any:
    """Numbers as text, since a quantity may be written either way."""
    if isinstance(value, dict):
        return {key: _plain(part) for key, part in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(part) for part in value]
    return (
        str(float(value))
        if isinstance(value, int | float) and not isinstance(value, bool)
        else value
    )
