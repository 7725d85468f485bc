"""Where every part of an entry was written, through all the packs that changed it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rules.yaml_source import Location, YamlText

SET = "set"


@dataclass(frozen=True, slots=True)
class Origin:
    """Where something was written: pack id, file, 1-based line and column."""

    pack: str
    file: str
    line: int
    column: int = 1


@dataclass(frozen=True, slots=True)
class Change:
    """What a pack changed in an entry of one below it, and why. `location` is in its own file."""

    pack: str
    document: YamlText
    location: Location
    reason: str
    source: tuple[str, ...]
    makes_a_difference: bool = True

    @property
    def origin(self) -> Origin:
        """Where the change was written."""
        return Origin(self.pack, self.document.file, *self.document.place(self.location))

    def depth(self, path: Sequence[str | int]) -> int:
        """How many parts of `path` of the entry this change writes."""
        return _depth(self.document, (*self.location, SET), path)


@dataclass(frozen=True, slots=True)
class Written:
    """An entry as it was first written, and the changes of later packs in their order."""

    pack: str
    document: YamlText
    location: Location
    changes: tuple[Change, ...] = ()

    def origin(self, path: Sequence[str | int] = ()) -> Origin:
        """Where `path` of the entry got what it now holds; the entry itself for an empty path."""
        change = self._changed(path)
        if change is not None:
            place = change.document.place((*change.location, SET, *path))
            return Origin(change.pack, change.document.file, *place)
        return Origin(self.pack, self.document.file, *self.document.place((*self.location, *path)))

    def to_blame(self, path: Sequence[str | int]) -> Origin:
        """Where to look when `path` of the entry is wrong: where that part was written, or the last
        change where no part of it was, since the entry was sound before."""
        if self.changes and not self._own_depth(path) and self._changed(path) is None:
            return self.changes[-1].origin
        return self.origin(path)

    def source_of(self, path: Sequence[str | int], own: tuple[str, ...]) -> tuple[str, ...]:
        """The sources behind `path`: those of the change that set it, else the entry's `own`."""
        change = self._changed(path)
        return change.source if change is not None and change.depth(path) == len(path) else own

    def _changed(self, path: Sequence[str | int]) -> Change | None:
        """The last change that writes at least as much of `path` as any other or the entry does."""
        best, most = None, max(self._own_depth(path), 1)
        for change in self.changes:
            depth = change.depth(path)
            if depth >= most:
                best, most = change, depth
        return best

    def _own_depth(self, path: Sequence[str | int]) -> int:
        return _depth(self.document, self.location, path)


def _depth(document: YamlText, start: Location, path: Sequence[str | int]) -> int:
    depth = 0
    while depth < len(path) and (*start, *path[: depth + 1]) in document.positions:
        depth += 1
    return depth
