"""The house: no import circle, no flat list beside sub-rooms, no name for two things."""

from __future__ import annotations

import ast
from collections import defaultdict
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import grimp
import pytest

ROOT = Path(__file__).parents[1]
PACKAGES = ("rules", "diagnose", "tui")
MOST_BESIDE_ROOMS = 12
FILES = [path for name in PACKAGES for path in sorted((ROOT / name).rglob("*.py"))]


def cycle_of(edges: dict[str, set[str]]) -> list[str]:
    """A circle in a graph, or nothing."""
    try:
        TopologicalSorter(edges).prepare()
    except CycleError as error:
        return list(error.args[1])
    return []


@pytest.fixture(scope="module")
def imports() -> dict[str, set[str]]:
    """Which module imports which, annotations included."""
    graph = grimp.build_graph(*PACKAGES, cache_dir=None)
    return {name: graph.find_modules_directly_imported_by(name) for name in graph.modules}


def test_no_modules_import_each_other_in_a_circle(imports: dict[str, set[str]]) -> None:
    assert cycle_of(imports) == []


@pytest.mark.parametrize("depth", [2, 3])
def test_no_rooms_import_each_other_in_a_circle(imports: dict[str, set[str]], depth: int) -> None:
    """A module beside rooms counts as a room of its own."""
    edges: dict[str, set[str]] = defaultdict(set)
    for name, others in imports.items():
        room = ".".join(name.split(".")[:depth])
        for other in others:
            target = ".".join(other.split(".")[:depth])
            inside = room.startswith(f"{target}.") or target.startswith(f"{room}.")
            if target != room and not inside:
                edges[room].add(target)
    assert cycle_of(edges) == []


@pytest.mark.parametrize("package", PACKAGES)
def test_a_flat_list_beside_sub_rooms_stays_short(package: str) -> None:
    for folder in sorted(p for p in (ROOT / package).rglob("*") if (p / "__init__.py").exists()):
        rooms = [p for p in folder.iterdir() if (p / "__init__.py").exists()]
        modules = [p for p in folder.glob("*.py") if p.name != "__init__.py"]
        assert not rooms or len(modules) <= MOST_BESIDE_ROOMS, folder


def test_a_file_name_stands_for_one_thing() -> None:
    """Commands are called after what they command, so they may share its name."""
    named: dict[str, list[str]] = defaultdict(list)
    for path in FILES:
        if path.name != "__init__.py" and "tui/cli" not in path.as_posix():
            named[path.name].append(str(path.relative_to(ROOT)))
    assert {name: paths for name, paths in named.items() if len(paths) > 1} == {}


def test_a_class_name_stands_for_one_thing() -> None:
    named: dict[str, list[str]] = defaultdict(list)
    for path in FILES:
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                named[node.name].append(str(path.relative_to(ROOT)))
    assert {name: paths for name, paths in named.items() if len(paths) > 1} == {}
