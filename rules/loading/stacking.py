"""One pack on another: changes are made, then entries are switched off with all that depends on
them, so that what is left is one sound pack."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from rules.language.schema import Observation, Rule
from rules.language.sections import SWITCHED_OFF
from rules.loading.pack_changes import ChangedEntry, NotThere, SwitchedOffEntry, changed
from rules.loading.pack_draft import Name, PackDraft, problem_at
from rules.loading.pack_reading import Amendment, PackSource
from rules.loading.pruning import ALWAYS, NEVER, pruned
from rules.loading.references import unused
from rules.problems import Problem
from rules.rulebase import SwitchedOff
from rules.written import Change, Origin
from rules.yaml_source import dotted, suggest


def amend(draft: PackDraft, source: PackSource) -> None:
    """Carry out the pack's changes and switch-offs on the entries of those below it, noting what
    cannot be done. Nothing is switched off while there are problems."""
    for amendment in source.amendments:
        _check_sources(draft, amendment)
        if _is_below(draft, source, amendment) and isinstance(amendment.entry, ChangedEntry):
            _change(draft, source, amendment, amendment.entry)
    if not draft.problems:
        _switch_off(draft, source)
        draft.stop_on_problems()  # what is half taken out would be missed everywhere


def _check_sources(draft: PackDraft, amendment: Amendment) -> None:
    known = draft.tables["sources"]
    for name in amendment.entry.source:
        if name not in known:
            message = f"{name!r} is not defined{suggest(name, list(known))}"
            at = (*amendment.location, "source")
            draft.note(amendment.document.problem("reference", at, message))


def _is_below(draft: PackDraft, source: PackSource, amendment: Amendment) -> bool:
    """Whether the entry exists and belongs to a pack below; notes a problem if not."""
    section, key = amendment.name
    if amendment.name not in draft.bodies:
        off = draft.off.get(amendment.name)
        known = [name for part, name in draft.bodies if part == section]
        message = f"{key!r} is not in {section} of a pack below{suggest(key, known)}"
        if off is not None:
            message = f"{key!r} is switched off by {off.pack} ({off.origin.file})"
    elif draft.written[amendment.name].pack == source.info.id:
        message = f"{key!r} is this pack's own; change it where it is written"
    elif any(change.pack == source.info.id for change in draft.written[amendment.name].changes):
        message = f"this pack changes {key!r} already; put both changes in one place"
    else:
        return True
    draft.note(amendment.document.problem("reference", amendment.location, message))
    return False


def _change(
    draft: PackDraft, source: PackSource, amendment: Amendment, entry: ChangedEntry
) -> None:
    name, document, location = amendment.name, amendment.document, amendment.location
    body = draft.bodies[name]
    try:
        new = changed(body, entry)
    except NotThere as error:
        draft.note(document.problem("reference", (*location, *error.location), str(error)))
        return
    differs = any(new.get(part) != body.get(part) for part in {*new, *body} - {"source"})
    change = Change(source.info.id, document, location, entry.reason, entry.source, differs)
    written = draft.written[name]
    draft.bodies[name] = new
    draft.written[name] = replace(written, changes=(*written.changes, change))
    draft.check(name)


def _switch_off(draft: PackDraft, source: PackSource) -> None:
    level = len(draft.packs)
    gone: dict[Name, SwitchedOff] = {}
    for amendment in source.amendments:
        entry = amendment.entry
        if isinstance(entry, SwitchedOffEntry):
            if not _is_below(draft, source, amendment):
                continue
            line, column = amendment.document.place(amendment.location)
            origin = Origin(source.info.id, amendment.document.file, line, column)
            gone[amendment.name] = SwitchedOff(
                source.info.id, origin, entry.reason, entry.source, amendment.name
            )
    _check_corrections(draft, gone)
    draft.stop_on_problems()
    while gone:
        for name, why in gone.items():
            draft.drop(name, replace(why, guards=_guards(draft, name)))
        gone = _left_over(draft, gone, level)


def _check_corrections(draft: PackDraft, gone: Mapping[Name, SwitchedOff]) -> None:
    """Note each correction switched off while a cause that stays needs it."""
    for (section, key), why in gone.items():
        users = [
            name
            for (part, name), body in draft.bodies.items()
            if part == "causes" and body["correction"] == key and (part, name) not in gone
        ]
        if section == "corrections" and users:
            message = (
                f"{', '.join(users)}: put right by it; give another `correction` under `changes`, "
                "or switch off the cause too"
            )
            draft.note(_problem_with(why, message))


def _problem_with(why: SwitchedOff, message: str) -> Problem:
    return problem_at(why.origin, "reference", dotted((SWITCHED_OFF, *why.named)), message)


def _guards(draft: PackDraft, name: Name) -> bool:
    """Whether an entry warns of danger or looks for it."""
    entry = draft.tables[name[0]][name[1]]
    if isinstance(entry, Rule):
        return entry.then.do_not_ride is not None or entry.then.caution is not None
    return isinstance(entry, Observation) and entry.safety


def _left_over(
    draft: PackDraft, gone: dict[Name, SwitchedOff], level: int
) -> dict[Name, SwitchedOff]:
    """Remove the names in `gone` from other entries; returns the entries this makes useless."""
    why = next(iter(gone.values()))
    lost: dict[Name, SwitchedOff] = {}
    for name in [name for name, at in draft.levels.items() if at < level]:
        left, because = pruned(name, draft.bodies[name], gone.keys())
        if because is None:
            continue
        reason = gone[because]
        if left is NEVER:
            lost[name] = reason
        elif left is ALWAYS:
            message = (
                f"the rule {name[1]!r} only waits for this not to be known, and would now always"
                " hold; switch it off too, or change it"
            )
            draft.note(_problem_with(reason, message))
        else:
            draft.bodies[name] = left
            draft.check(name)
    for section, key, _ in unused(draft.tables):
        name = (section, key)
        if draft.levels.get(name, level) < level and name not in lost:
            lost[name] = why
    return lost
