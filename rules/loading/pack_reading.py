"""From the files of one pack to entries, changes and switch-offs in a draft."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from rules.language.schema import PackInfo
from rules.language.sections import (
    CHANGED_SINGLES,
    CHANGES,
    SINGLES,
    SWITCHABLE,
    SWITCHED_OFF,
    TABLES,
)
from rules.loading.pack_changes import ChangedEntry, SwitchedOffEntry
from rules.loading.pack_draft import Name, PackDraft, is_id
from rules.loading.templates import BadTemplate, expand
from rules.problems import Problem
from rules.written import Written
from rules.yaml_source import Location, YamlText, suggest

M = TypeVar("M", bound=BaseModel)


@dataclass(slots=True)
class Amendment:
    """A change or a switch-off as it stands in a file."""

    name: Name
    document: YamlText
    location: Location
    entry: ChangedEntry | SwitchedOffEntry


@dataclass(slots=True)
class PackSource:
    """The files of one pack, of which only the `pack` section has been read so far. `unread` is
    what is wrong with those that cannot be read at all."""

    folder: Path
    documents: list[YamlText]
    info: PackInfo
    unread: tuple[Problem, ...] = ()
    amendments: list[Amendment] = field(default_factory=list)


def read_info(draft: PackDraft, documents: list[YamlText]) -> PackInfo | None:
    """The `pack` section; None, with a problem noted, when no file has one."""
    for document in documents:
        if not isinstance(document.data, dict):
            draft.note(document.problem("shape", (), "a pack file is a mapping of sections"))
    if draft.problems:
        return None
    for document in documents:
        if "pack" in document.data:
            return _validated(draft, document, PackInfo, document.data["pack"], ("pack",))
    message = "the pack has no `pack:` section, which says who it is"
    draft.note(documents[0].problem("missing", (), message))
    return None


def read_pack(draft: PackDraft, source: PackSource) -> None:
    """Take every entry of the pack into the draft and gather its amendments, noting problems."""
    for document in source.documents:
        for section, body in document.data.items():
            if section in SINGLES:
                _read_single(draft, source, document, section, body)
            elif section in TABLES:
                for key, entry in _entries(draft, document, (section,), body):
                    _read_entry(draft, source, document, (section, key), entry)
            elif section in (CHANGES, SWITCHED_OFF):
                _read_amendments(draft, source, document, section, body)
            else:
                known = [*SINGLES, *TABLES, CHANGES, SWITCHED_OFF]
                message = f"section {section!r} is not known{suggest(section, known)}"
                draft.note(document.problem("section", (section,), message))


def _read_single(
    draft: PackDraft, source: PackSource, document: YamlText, section: str, body: Any
) -> None:
    name = (section, "")
    earlier = draft.written.get(name)
    written = Written(source.info.id, document, (section,))
    if section == "pack":
        if earlier is not None and earlier.pack == source.info.id:
            message = f"`pack` is already given in {earlier.document.file}"
            draft.note(document.problem("duplicate", (section,), message))
            return
        draft.written[name] = written
        return
    if earlier is not None:
        message = f"`{section}` is already given in {earlier.document.file}"
        if earlier.pack != source.info.id:
            message += f"; to change it, write what differs under `changes: {{{section}: …}}`"
        draft.note(document.problem("duplicate", (section,), message))
        return
    draft.add(name, body, written)


def _entries(
    draft: PackDraft, document: YamlText, section: Location, body: Any
) -> Iterator[tuple[str, Any]]:
    """(id, plain data) of each entry of a section, with `for_each` expanded."""
    if not isinstance(body, dict) or not body:
        message = f"`{section[-1]}` is a mapping of ids to entries"
        draft.note(document.problem("shape", section, message))
        return
    for key, entry in body.items():
        try:
            yield from list(expand(document, section, key, entry))
        except BadTemplate as error:
            location = (*section, key, *error.location)
            draft.note(document.problem("for-each", location, str(error)))


def _read_entry(
    draft: PackDraft, source: PackSource, document: YamlText, name: Name, body: Any
) -> None:
    section, key = name
    if not is_id(key):
        message = f"id {key!r} must be lower-case words joined by '-', 60 letters at most"
        draft.note(document.problem("id", name, message))
        return
    earlier = draft.written.get(name)
    if earlier is not None:
        at = earlier.origin()
        message = f"{key!r} is already given in {at.file}, line {at.line}"
        if earlier.pack != source.info.id:
            message += f"; to change it, write what differs under `changes: {{{section}: …}}`"
        draft.note(document.problem("duplicate-id", name, message))
        return
    draft.add(name, body, Written(source.info.id, document, name))


def _read_amendments(
    draft: PackDraft, source: PackSource, document: YamlText, kind: str, body: Any
) -> None:
    if source.info.builds_on is None:
        message = f"`{kind}` is for a pack that says `builds_on` which other"
        draft.note(document.problem("section", (kind,), message))
        return
    allowed = (*TABLES, *CHANGED_SINGLES) if kind == CHANGES else SWITCHABLE
    model = ChangedEntry if kind == CHANGES else SwitchedOffEntry
    if not isinstance(body, dict) or not body:
        draft.note(document.problem("shape", (kind,), f"`{kind}` is a mapping of sections"))
        return
    for section, entries in body.items():
        location = (kind, section)
        if section not in allowed:
            hint = suggest(section, allowed)
            message = f"{section!r} is not a section that can stand here{hint}"
            draft.note(document.problem("section", location, message))
        elif section in CHANGED_SINGLES:
            _amend(draft, source, document, (section, ""), location, entries, model)
        else:
            for key, entry in _entries(draft, document, location, entries):
                at = (*location, key)
                _amend(draft, source, document, (section, key), at, entry, model)


def _amend(
    draft: PackDraft,
    source: PackSource,
    document: YamlText,
    name: Name,
    location: Location,
    body: Any,
    model: type[ChangedEntry] | type[SwitchedOffEntry],
) -> None:
    entry = _validated(draft, document, model, body, location)
    if entry is not None:
        source.amendments.append(Amendment(name, document, location, entry))


def _validated(
    draft: PackDraft, document: YamlText, model: type[M], body: Mapping[str, Any], prefix: Location
) -> M | None:
    try:
        return model.model_validate(body)
    except ValidationError as error:
        for problem in document.from_validation(error, prefix):
            draft.note(problem)
        return None
