"""Which files belong to a pack. A pack may come from anyone, so links out of its folder are
refused, and there are limits on how much is listed and read."""

from __future__ import annotations

import itertools
import os
from collections.abc import Iterable, Iterator
from pathlib import Path

from rules.problems import FileProblems, Problem
from rules.yaml_source import YamlText, read_yaml_file

OFFROAD = Path(__file__).parents[1] / "offroad"
"""The pack that ships."""

WORKED_CASES = "worked_cases"
TRAINING = "training"
STARTER = "starter"
WORD_WEIGHTS = "word_weights"
HARSHNESS_MODEL = "harshness_model"
# folders of a pack that are read by those who need them, not as part of the rule base
BESIDE = frozenset({WORKED_CASES, TRAINING, STARTER, HARSHNESS_MODEL, WORD_WEIGHTS})

MOST_FILES = 200
MOST_SEEN = 5_000
"""A folder with more files and folders than this is not a pack."""
MOST_PARTS = 200_000
"""How many parts (entries, fields, items) all files of a pack may have together."""


def pack_documents(folder: Path, taken: frozenset[str] = frozenset()) -> Iterator[YamlText]:
    """Every file of the pack in `folder`, in the order of their paths.

    A file is called by its path from the folder's parent on, as in `our-shop/tyres.yaml`, or by its
    whole path where another pack's folder in `taken` has the same name. Raises `FileProblems`.
    """
    whole = folder.resolve().name in taken
    parts = 0
    problems: list[Problem] = []
    for path in _paths(folder):
        try:
            document = read_yaml_file(path, label(folder, path, whole=whole))
        except FileProblems as error:
            # a file that holds only comments is fine
            problems.extend(problem for problem in error.problems if problem.code != "empty")
            continue
        parts += len(document.positions)
        if parts > MOST_PARTS:
            message = f"the files of this pack have over {MOST_PARTS} parts together"
            raise FileProblems([*problems, document.problem("too-large", (), message)])
        yield document
    if problems:
        raise FileProblems(problems)


def label(folder: Path, path: Path, *, whole: bool = False) -> str:
    """What a file of the pack in `folder` is called in messages; with `whole`, its whole path."""
    inside = path.relative_to(folder)
    return str(folder.resolve() / inside) if whole else f"{folder.resolve().name}/{inside}"


def paths_by_label(folders: Iterable[Path]) -> dict[str, Path]:
    """The path of each file of these packs by every label it may have; packs that cannot be listed
    are left out."""
    found: dict[str, Path] = {}
    for folder in folders:
        try:
            for path in _paths(folder):
                found[label(folder, path)] = found[label(folder, path, whole=True)] = path
        except FileProblems:
            continue
    return found


def files_beside(folder: Path, *names: str) -> list[Path]:
    """The .yaml files, in order, of a folder in a pack that is not part of the rule base, such as
    its worked cases; none without such a folder. Raises `FileProblems` for links that lead out.
    """
    found = sorted(itertools.islice(folder.joinpath(*names).glob("*.yaml"), MOST_SEEN))
    _check_inside(folder, found)
    return found


def _check_inside(folder: Path, paths: Iterable[Path]) -> None:
    home = folder.resolve()
    for path in paths:
        if not _is_inside(path, home):
            message = "this link does not lead to a file of this pack; put the file itself here"
            raise FileProblems([Problem(label(folder, path), 1, 1, "outside", "", message)])


def _is_inside(path: Path, home: Path) -> bool:
    try:
        return path.resolve().is_relative_to(home)
    except (OSError, RuntimeError):  # links that go in a circle
        return False


def _paths(folder: Path) -> list[Path]:
    """Raises `FileProblems` where there are none, too many, or some lead out of the folder."""
    found: list[Path] = []
    seen = 0
    if not folder.is_dir():
        message = "give the folder of a pack" if folder.exists() else "there is no such folder"
        raise FileProblems([Problem(str(folder), 1, 1, "unreadable", "", message)])
    for root, folders, names in os.walk(folder):
        folders[:] = sorted(name for name in folders if name not in BESIDE)
        seen += len(folders) + len(names)
        if seen > MOST_SEEN or len(found) > MOST_FILES:
            message = f"over {MOST_FILES} files; give the folder of one pack"
            raise FileProblems([Problem(str(folder), 1, 1, "too-large", "", message)])
        found += [Path(root) / name for name in names if name.endswith(".yaml")]
    _check_inside(folder, found)
    if not found:
        message = "no .yaml files of a pack here"
        raise FileProblems([Problem(str(folder), 1, 1, "empty", "", message)])
    return sorted(found)
