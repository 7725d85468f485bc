"""What is added to a pack on disk: tried on a copy first, then written, and taken back again."""

from __future__ import annotations

import hashlib
import json
import shutil
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from diagnose.authoring.adding.edits import Edit
from diagnose.records.file_writing import write_text
from rules.loading.pack_files import pack_documents
from rules.problems import BadInput
from rules.writing.insertion import CannotInsert, inserted
from rules.writing.new_pack import SCHEMA_COMMENT, SCHEMA_FILE

ADDED_FILE = "added.yaml"
HISTORY = ".added.json"
"""What was added, the latest last, so that it can be taken back."""
MOST_KEPT = 50


def edited(folder: Path, edits: Sequence[Edit]) -> dict[str, str]:
    """The files of the pack in `folder` that the edits change, with their new text.

    A part goes to the file that holds its section, or its entry, already; where none does, or where
    that file leaves no place for it, to `ADDED_FILE`. Raises `BadInput`.
    """
    texts: dict[str, str] = {}
    home = {
        document.file.partition("/")[2]: document.data
        for document in pack_documents(folder)
        if isinstance(document.data, dict)
    }
    for edit in edits:
        if edit.file:
            texts[edit.file] = _whole(edit)
            continue
        name = _file_of(home, edit.path)
        try:
            texts[name] = inserted(_text(folder, name, texts), edit.path, edit.value, edit.notes)
        except CannotInsert as error:
            if len(edit.path) > 2:
                what = ".".join(edit.path)
                raise BadInput(f"{name}: {what} has to be written there by hand: {error}") from None
            name = ADDED_FILE
            texts[name] = inserted(_text(folder, name, texts), edit.path, edit.value, edit.notes)
        home.setdefault(name, {}).setdefault(edit.path[0], {})
    return texts


def _file_of(home: dict[str, Any], path: Sequence[str]) -> str:
    """The file that holds most of `path`."""

    def depth(data: Any) -> int:
        deep = 0
        while deep < len(path) and isinstance(data, dict) and path[deep] in data:
            data, deep = data[path[deep]], deep + 1
        return deep

    best = max(home, key=lambda name: depth(home[name]), default=ADDED_FILE)
    return best if best in home and depth(home[best]) else ADDED_FILE


def _text(folder: Path, name: str, texts: dict[str, str]) -> str:
    if name in texts:
        return texts[name]
    path = folder / name
    if path.exists():
        return path.read_text(encoding="utf-8")
    return SCHEMA_COMMENT if (folder / SCHEMA_FILE).exists() else ""


def _whole(edit: Edit) -> str:
    text = ""
    for field, value in edit.value.items():
        text = inserted(text, (field,), value).rstrip("\n") + "\n"
        note = edit.notes.get(field)
        if note and "\n" not in text.rstrip("\n").rsplit(f"{field}:", 1)[-1]:
            text = f"{text.rstrip()}  # {note}\n"
    return text


@contextmanager
def tried(folder: Path, texts: Mapping[str, str]) -> Iterator[Path]:
    """A copy of the pack with the files changed, for the time of a `with` block."""
    with tempfile.TemporaryDirectory(prefix="badride-") as place:
        copy = Path(place) / folder.resolve().name
        shutil.copytree(folder, copy, ignore=shutil.ignore_patterns(".*"))
        for name, text in texts.items():
            (copy / name).parent.mkdir(parents=True, exist_ok=True)
            (copy / name).write_text(text, encoding="utf-8")
        yield copy


@dataclass(frozen=True, slots=True)
class AddedEntry:
    """Something that was added: what it is called, and each file's text before (None: there was
    none) and a digest of its text after."""

    title: str
    before: dict[str, str | None]
    after: dict[str, str]


def write(folder: Path, title: str, texts: Mapping[str, str]) -> None:
    """Write the files and note what was there before. Raises `BadInput`; then nothing is lost."""
    before: dict[str, str | None] = {}
    for name in texts:
        path = folder / name
        before[name] = path.read_text(encoding="utf-8") if path.exists() else None
    entry = AddedEntry(title, before, {name: _digest(text) for name, text in texts.items()})
    _keep(folder, [*history(folder), entry][-MOST_KEPT:])
    for name, text in texts.items():
        try:
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise BadInput(f"{folder / name}: {error.strerror or error}") from error
        write_text(folder / name, text)


def undo(folder: Path) -> AddedEntry:
    """Take the latest addition back and give it. Raises `BadInput` where there is none, or where a
    file has been changed since."""
    kept = history(folder)
    if not kept:
        raise BadInput(
            f"{folder}: nothing was added here by questions, so there is nothing to undo"
        )
    last = kept[-1]
    for name, digest in last.after.items():
        path = folder / name
        if not path.exists() or _digest(path.read_text(encoding="utf-8")) != digest:
            raise BadInput(
                f"{path} was changed since “{last.title}” was added; take it out there by hand"
            )
    for name, text in last.before.items():
        if text is None:
            (folder / name).unlink()
        else:
            write_text(folder / name, text)
    _keep(folder, kept[:-1])
    return last


def history(folder: Path) -> list[AddedEntry]:
    """What was added to a pack by questions, the latest last; nothing where that cannot be read."""
    try:
        rows = json.loads((folder / HISTORY).read_text(encoding="utf-8"))
        return [AddedEntry(row["title"], row["before"], row["after"]) for row in rows]
    except (OSError, ValueError, KeyError, TypeError):
        return []


def _keep(folder: Path, kept: Sequence[AddedEntry]) -> None:
    rows = [{"title": e.title, "before": e.before, "after": e.after} for e in kept]
    if rows:
        write_text(folder / HISTORY, json.dumps(rows, ensure_ascii=False, indent=1) + "\n")
    else:
        (folder / HISTORY).unlink(missing_ok=True)


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()
