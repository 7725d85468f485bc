"""The libraries that are installed for the program, and under which licence each may be used."""

from __future__ import annotations

import importlib.metadata
import re
from collections.abc import Iterator
from dataclasses import dataclass

_REQUIREMENT = re.compile(r"([\w.-]+)(?:\[([^\]]*)\])?")
_EXTRA = re.compile(r"extra\s*==\s*['\"]([\w.-]+)['\"]")
_UNSTATED = "not stated"


@dataclass(frozen=True, slots=True, order=True)
class Library:
    """An installed library: its name, its version, and its licence as its author puts it."""

    name: str
    version: str
    licence: str


def libraries(of: str = "badride") -> list[Library]:
    """`of` first, then what it needs, and what that needs, by name; also what its extras need where
    they are installed, but no tools of the developers."""
    found: dict[str, importlib.metadata.Distribution] = {}
    asked: set[tuple[str, str]] = set()
    waiting = [(of, "")]
    waiting += [(of, extra) for extra in _extras(of) if extra != "test"]
    while waiting:
        name, extra = waiting.pop()
        if (name, extra) in asked:
            continue
        asked.add((name, extra))
        try:
            found[name] = importlib.metadata.distribution(name)
        except importlib.metadata.PackageNotFoundError:
            continue  # an extra, or what only another system needs
        waiting += _needed(found[name], extra)
    own = found.pop(of, None)
    first = [_library(of, own)] if own is not None else []
    return first + sorted(_library(name, one) for name, one in found.items())


def _extras(of: str) -> list[str]:
    try:
        return importlib.metadata.metadata(of).get_all("Provides-Extra") or []
    except importlib.metadata.PackageNotFoundError:
        return []


def _needed(distribution: importlib.metadata.Distribution, extra: str) -> Iterator[tuple[str, str]]:
    """Each requirement as (name, extra); a name that asks for extras comes once for each, too."""
    for line in distribution.requires or ():
        wanted, _, marker = line.partition(";")
        condition = _EXTRA.search(marker)
        if (condition.group(1) if condition else "") not in ("", extra):
            continue
        named = _REQUIREMENT.match(wanted.strip())
        assert named is not None
        name = re.sub(r"[-_.]+", "-", named[1]).lower()
        yield name, ""
        yield from ((name, part.strip()) for part in (named[2] or "").split(",") if part)


def _library(name: str, distribution: importlib.metadata.Distribution) -> Library:
    return Library(name, distribution.version, _licence(distribution.metadata))


def _licence(about: importlib.metadata.PackageMetadata) -> str:
    if "License-Expression" in about:
        return str(about["License-Expression"])
    classified = [
        line.rpartition(" :: ")[2]
        for line in about.get_all("Classifier") or ()
        if line.startswith("License :: ") and line != "License :: OSI Approved"
    ]
    if classified:
        return " and ".join(classified)
    # some put the whole text here
    told = about["License"].strip().splitlines() if "License" in about else []
    return told[0] if told else _UNSTATED
