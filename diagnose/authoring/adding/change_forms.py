"""What is to be different in an entry that is there."""

from __future__ import annotations

from typing import Any

from diagnose.authoring.adding.asking import SKIP, Asked, Asker, asking
from diagnose.authoring.adding.choosing import Choice, Prompt
from diagnose.authoring.adding.questions import EntryKind, EntryQuestion, entry_kinds
from diagnose.authoring.adding.strength_forms import CAUSE_SHOWS, SHOWN, strength_of

_SHORT = 60


def change_of(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """A field of the entry named before, with what it is to be."""
    name = str(body["entry"])
    kind = _form_of(asker, name)
    entry = getattr(asker.names.rules, kind.section)[name].model_dump(mode="json", by_alias=True)
    skipped = {"source", "kind", "states", "unit", "limits"}
    fields = [q for q in kind.questions if not q.top and q.field not in skipped]
    choices = [
        Choice(q.field, f"{q.ask.partition('?')[0]} – {_now(asker, entry.get(q.field))}")
        for q in fields
    ]
    field = yield from asker.picked(asking(question, choices))
    asked = next(q for q in fields if q.field == field)
    asker.names.fresh["this"] = entry
    if asked.form == "strengths":
        what = yield from asker.named(
            Prompt("What does it bring about or show?",
                   choices=tuple(asker.names.choices(SHOWN)), sections=SHOWN)
        )  # fmt: skip
        return {field: {what: (yield from strength_of(asker, what, CAUSE_SHOWS))}}
    if asked.form == "background":
        body["states"] = entry["states"]
    value = yield from asker.field(kind, asked, body)
    body.pop("states", None)
    if value is SKIP:
        value = False if asked.form == "flag" else []
    return {field: value}


def _form_of(asker: Asker, name: str) -> EntryKind:
    section = asker.names.section_of(name)
    kinds = entry_kinds()
    if section == "observations":
        measured = asker.names.rules.observations[name].kind == "measurement"
        return kinds["measurement" if measured else "check"]
    return next(kind for kind in kinds.values() if kind.section == section)


def _now(asker: Asker, value: Any) -> str:
    """What a field holds, in a few words."""
    if value is False:
        return "now: no"
    parts = list(value) if isinstance(value, dict | list) else [value]
    text = ", ".join(asker.names.title(str(part)) for part in parts if part not in (None, ""))
    short = text if len(text) <= _SHORT else f"{text[:_SHORT].rstrip()} ..."
    return f"now: {short}" if text else "now: nothing"
