"""An entry of a pack made by questions, one line of answer at a time.

Nothing here knows where the lines come from. All that was said is kept as lines, so the last one
can be taken back, and what was not finished can be gone on with later.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Annotated, Any

from pydantic import TypeAdapter, ValidationError

from diagnose.authoring.adding import (
    change_forms,
    naming_forms,
    plain_forms,
    rule_forms,
    strength_forms,
)
from diagnose.authoring.adding.asking import SKIP, Asked, Asker
from diagnose.authoring.adding.choosing import Prompt
from diagnose.authoring.adding.edits import Edit, Edits
from diagnose.authoring.adding.entry_names import Names
from diagnose.authoring.adding.questions import EntryKind, EntryQuestion, entry_kinds
from rules.language.sections import TABLES
from rules.problems import BadInput
from rules.rulebase import RuleBase
from rules.yaml_source import invalid_parts

_LONGEST_ID = 48
_FORMS: Mapping[str, Callable[[Asker, EntryQuestion, dict[str, Any]], Asked]] = {
    "text": plain_forms.text,
    "number": plain_forms.number,
    "flag": plain_forms.flag,
    "choice": plain_forms.choice,
    "lines": plain_forms.lines,
    "states": plain_forms.labels,
    "unit": plain_forms.unit,
    "limits": plain_forms.limits,
    "name": naming_forms.name,
    "names": naming_forms.names,
    "group": naming_forms.group,
    "source": naming_forms.source,
    "puts_right": naming_forms.puts_right,
    "before": naming_forms.before,
    "answers": naming_forms.answers,
    "strengths": strength_forms.strengths,
    "shown_by": strength_forms.shown_by,
    "background": strength_forms.background,
    "bands": strength_forms.bands,
    "when": rule_forms.when,
    "then": rule_forms.then,
    "change": change_forms.change_of,
}
"""How each form of answer in `questions.yaml` is read."""


class Adding:
    """An entry of `kind` in the making, for the pack `pack` at the top of `rules`.

    `prompt` is what is asked now, `about` the kind of entry it is asked for; None when nothing is
    left to ask. Then `edits` has what it comes to and `title` what it is called.
    """

    def __init__(self, rules: RuleBase, pack: str, kind: str, lines: Iterable[str] = ()) -> None:
        self._rules, self._pack, self.kind = rules, pack, entry_kinds()[kind]
        self.lines: list[str] = []
        self.prompt: Prompt | None = None
        self._replay([])
        for line in lines:
            self.say(line)

    @property
    def edits(self) -> Sequence[Edit]:
        """What it comes to."""
        return self._edits.edits

    def say(self, line: str) -> None:
        """Answer what is asked. Raises `BadInput`, after which the same is asked."""
        try:
            self.prompt = self._form.send(line)
        except StopIteration:
            self.prompt = None
        except BadInput:
            self._replay(self.lines)
            raise
        self.lines.append(line)

    def back(self) -> None:
        """Take the last line back; nothing happens where there is none."""
        self._replay(self.lines[:-1])

    def _replay(self, lines: Sequence[str]) -> None:
        self.title = ""
        self.about = self.kind.title
        self._names = Names(self._rules, self._pack)
        self._edits = Edits(self._names)
        self._asker = Asker(self._names, lambda kind: self._entry(kind, top=False), self._field)
        self._form = self._whole()
        self.prompt = next(self._form)
        for line in lines:
            try:
                self.prompt = self._form.send(line)
            except StopIteration:
                self.prompt = None
        self.lines = list(lines)

    def _whole(self) -> Asked:
        yield from self._entry(self.kind, top=True)
        self._edits.finish(self.title)

    def _entry(self, kind: EntryKind, *, top: bool) -> Asked:
        """Ask for an entry and note the edits it comes to; gives its id."""
        body: dict[str, Any] = {}
        later: dict[str, Any] = {}
        before, self.about = self.about, kind.title
        for question in kind.questions:
            if question.top and not top:
                continue
            if any(body.get(name) != value for name, value in question.only_if.items()):
                continue
            value = yield from self._field(kind, question, body)
            if value is SKIP:
                continue
            (later if question.top else body)[question.field] = value
        self.about = before
        if kind.name == "change":
            self.title = self._edits.changed(body)
            return str(body["entry"])
        key = self._id(kind, body)
        if top:
            self.title = str(body.get(kind.named_by) or key)
        if kind.name == "case":
            self._edits.add(Edit((), body, kind.notes, f"worked_cases/{key}.yaml"))
            return key
        if kind.section == "causes":
            body = _sourced(body)
        self._names.made.setdefault(kind.section, {})[key] = str(body.get(kind.named_by, key))
        self._names.fresh[key] = body
        self._edits.add(Edit((kind.section, key), body, kind.notes))
        for field, links in later.items():
            for name, value in links.items():
                self._edits.note(field, name, key, value, body)
        return key

    def _field(self, kind: EntryKind, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        if question.form == "fixed":
            return question.fixed
        value = yield from _FORMS[question.form](self._asker, question, body)
        if value is not SKIP and kind.section:
            _fits(kind.section, question.field, value)
        return value

    def _id(self, kind: EntryKind, body: Mapping[str, Any]) -> str:
        """An id that nothing has yet, from what the entry is called."""
        text = str(body.get(kind.named_by) or _rule_name(body))
        words = re.findall(r"[a-z0-9]+", text.lower())
        while len(words) > 1 and len("-".join(words)) > _LONGEST_ID:
            words.pop()
        stem = "-".join(words)[:_LONGEST_ID].strip("-") or "ours"
        taken = {key for _, key in (*self._rules.origins, *self._rules.off)}
        taken |= {key for made in self._names.made.values() for key in made}
        number = 1
        name = stem
        while name in taken:
            number += 1
            name = f"{stem}-{number}"
        return name


def _sourced(body: Mapping[str, Any]) -> dict[str, Any]:
    """A cause with the source of its strengths beside them."""
    sourced: dict[str, Any] = {}
    for field, value in body.items():
        sourced[field] = value
        if field == "shows":
            sourced["shows_source"] = body["source"]
    return sourced


def _rule_name(body: Mapping[str, Any]) -> str:
    told = str(body.get("when"))
    looked = re.search(r"'(?:fact|reading)': '([a-z0-9/-]+)'", told)
    then = next(iter(body.get("then", {"": ""})))
    return f"our {then.replace('_', '-')} {looked.group(1) if looked else ''}"


def _fits(section: str, name: str, value: Any) -> None:
    """Raises `BadInput` unless a value may stand in a field of an entry."""
    model = TABLES[section]
    known = {info.alias or key: info for key, info in model.model_fields.items()}
    info = known.get(name)
    if info is None:
        return
    shape: Any = info.annotation
    for part in info.metadata:
        shape = Annotated[shape, part]
    try:
        TypeAdapter(shape).validate_python(value, strict=None)
    except ValidationError as error:
        raise BadInput(next(invalid_parts(error))[2]) from None
