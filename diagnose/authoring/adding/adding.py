"""An entry of a pack made by questions, one line of answer at a time.

Nothing here knows where the lines come from. All that was said is kept as lines, so the last one
can be taken back, and what was not finished can be gone on with later.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Generator, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import TypeAdapter, ValidationError

from diagnose.authoring.adding.choosing import Choice, Prompt, pick
from diagnose.authoring.adding.questions import EntryKind, EntryQuestion, entry_kinds
from diagnose.case.events import read_answer
from rules.language.sections import TABLES
from rules.problems import BadInput
from rules.rulebase import RuleBase, complaint_nodes
from rules.units.quantities import parse_quantity, parse_threshold
from rules.units.unit_table import unit_spellings
from rules.yaml_source import invalid_parts

NEW = "new"
_LONGEST_ID = 48
_YES = {"y": True, "yes": True, "n": False, "no": False}
_RANGE = re.compile(r"\s*(.+?)\s*(?:\bto\b|–|\.\.)\s*(.+)\s*")
_COMPARED = {"above": "above", "over": "above", "below": "below", "under": "below",
             "at least": "at_least", "at most": "at_most"}  # fmt: skip

Asked = Generator[Prompt, str, Any]
_SKIP = object()


@dataclass(frozen=True, slots=True)
class Edit:
    """Something to put into a pack: `value` at `path`, with comments beside its fields. An edit of
    a `file` of its own has no path."""

    path: tuple[str, ...]
    value: Any
    notes: Mapping[str, str]
    file: str = ""


class Adding:
    """An entry of `kind` in the making, for the pack `pack` at the top of `rules`.

    `prompt` is what is asked now, `about` the kind of entry it is asked for; None when nothing is
    left to ask. Then `edits` has what it comes to and `title` what it is called.
    """

    def __init__(self, rules: RuleBase, pack: str, kind: str, lines: Iterable[str] = ()) -> None:
        self.rules, self.pack, self.kind = rules, pack, entry_kinds()[kind]
        self.lines: list[str] = []
        self.prompt: Prompt | None = None
        self._readers: dict[str, Callable[[EntryQuestion, dict[str, Any]], Asked]] = {
            "text": self._text, "number": self._number, "flag": self._flag,
            "choice": self._choice, "lines": self._lines, "name": self._name,
            "names": self._names, "group": self._group, "source": self._source,
            "strengths": self._strengths, "states": self._labels, "background": self._background,
            "unit": self._unit, "limits": self._limits, "bands": self._bands,
            "shown_by": self._shown_by, "puts_right": self._puts_right, "before": self._before,
            "when": self._when, "then": self._then, "answers": self._answers,
            "change": self._change_of,
        }  # fmt: skip
        self._replay([])
        for line in lines:
            self.say(line)

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
        self.edits: list[Edit] = []
        self.title = ""
        self.about = self.kind.title
        self._made: dict[str, dict[str, str]] = {}
        self._fresh: dict[str, dict[str, Any]] = {}
        self._linked: dict[tuple[str, str], dict[str, Any]] = {}
        self._form = self._whole()
        self.prompt = next(self._form)
        for line in lines:
            try:
                self.prompt = self._form.send(line)
            except StopIteration:
                self.prompt = None
        self.lines = list(lines)

    # -- a whole entry ---------------------------------------------------------------------------

    def _whole(self) -> Asked:
        yield from self._entry(self.kind, top=True)
        for (section, key), said in self._linked.items():
            self._link(section, key, said)

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
            value = yield from self._ask(kind, question, body)
            if value is _SKIP:
                continue
            (later if question.top else body)[question.field] = value
        self.about = before
        if kind.name == "change":
            return self._changed(body)
        key = self._id(kind, body)
        if top:
            self.title = str(body.get(kind.named_by) or key)
        if kind.name == "case":
            self.edits.append(Edit((), body, kind.notes, f"worked_cases/{key}.yaml"))
            return key
        if kind.section == "causes":
            body = {
                name: part
                for field, value in body.items()
                for name, part in (
                    ((field, value), ("shows_source", body["source"]))
                    if field == "shows"
                    else ((field, value),)
                )
            }
        self._made.setdefault(kind.section, {})[key] = str(body.get(kind.named_by, key))
        self._fresh[key] = body
        self.edits.append(Edit((kind.section, key), body, kind.notes))
        for field, links in later.items():
            for name, value in links.items():
                self._note_link(field, name, key, value, body)
        return key

    def _note_link(
        self, field: str, name: str, key: str, value: Any, body: Mapping[str, Any]
    ) -> None:
        """What another entry is to say of the one just made."""
        section = self._section_of(name)
        said = self._linked.setdefault((section, name), {"source": body["source"]})
        if field == "shown_by":
            said.setdefault("shows", {})[key] = value
        elif field == "puts_right":
            said["correction"] = key
        else:
            said.setdefault("cautions", []).append(key)

    def _link(self, section: str, name: str, said: dict[str, Any]) -> None:
        source = said.pop("source")
        if "cautions" in said:
            known = getattr(self.rules, section)[name].cautions
            said["cautions"] = [*known, *said["cautions"]]
        if self.rules.origins[section, name].pack == self.pack:
            for field, value in said.items():
                parts = value.items() if field == "shows" else [("", value)]
                for part, inner in parts:
                    path = (section, name, field, part) if part else (section, name, field)
                    self.edits.append(Edit(path, inner, {}))
            return
        self._change(section, name, said, f"Goes with our own: {self.title}"[:200], source)

    def _change(
        self, section: str, name: str, said: Mapping[str, Any], reason: str, source: Any
    ) -> None:
        at = ("changes", section, name)
        mine = [c for c in self.rules.changes(section, name) if c.pack == self.pack]
        if mine:
            if reason not in mine[-1].reason:
                both = f"{mine[-1].reason} {reason}"[:200]
                self.edits.append(Edit((*at, "reason"), both, {}))
            for field, value in said.items():
                parts = value.items() if isinstance(value, dict) else [("", value)]
                for part, inner in parts:
                    where = (*at, "set", field, part) if part else (*at, "set", field)
                    self.edits.append(Edit(where, inner, {}))
            return
        body = {"set": dict(said), "reason": reason, "source": source}
        self.edits.append(Edit(at, body, {"set": "only what differs"}))

    def _changed(self, body: Mapping[str, Any]) -> str:
        name = str(body["entry"])
        section = self._section_of(name)
        entry = getattr(self.rules, section)[name]
        self.title = str(getattr(entry, "title", None) or getattr(entry, "ask", name))
        self._change(section, name, body["change"], body["reason"], body["source"])
        return name

    def _id(self, kind: EntryKind, body: Mapping[str, Any]) -> str:
        """An id that nothing has yet, from what the entry is called."""
        text = str(body.get(kind.named_by) or self._rule_name(body))
        words = re.findall(r"[a-z0-9]+", text.lower())
        while len(words) > 1 and len("-".join(words)) > _LONGEST_ID:
            words.pop()
        stem = "-".join(words)[:_LONGEST_ID].strip("-") or "ours"
        taken = {key for _, key in (*self.rules.origins, *self.rules.off)}
        taken |= {key for made in self._made.values() for key in made}
        number = 1
        name = stem
        while name in taken:
            number += 1
            name = f"{stem}-{number}"
        return name

    def _rule_name(self, body: Mapping[str, Any]) -> str:
        told = str(body.get("when"))
        looked = re.search(r"'(?:fact|reading)': '([a-z0-9/-]+)'", told)
        then = next(iter(body.get("then", {"": ""})))
        return f"our {then.replace('_', '-')} {looked.group(1) if looked else ''}"

    # -- one field -------------------------------------------------------------------------------

    def _ask(self, kind: EntryKind, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        if question.form == "fixed":
            return question.fixed
        reader = self._readers[question.form]
        value = yield from reader(question, body)
        if value is not _SKIP and kind.section:
            _fits(kind.section, question.field, value)
        return value

    def _text(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        line = (yield _asking(question, may_end=question.optional)).strip()
        if line:
            return line
        if question.optional:
            return _SKIP
        raise BadInput("write something here")

    def _number(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        line = (yield _asking(question)).strip().replace(",", ".")
        try:
            number = float(line)
        except ValueError:
            raise BadInput(f"{line!r} is not a number; write one such as 2 or 0.5") from None
        return int(number) if number.is_integer() else number

    def _flag(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        line = (yield _asking(question, detail="y or n", default="n")).strip().lower()
        if line and line not in _YES:
            raise BadInput(f"{line!r} is neither y nor n")
        said = _YES.get(line, False)
        return said if said or question.always else _SKIP

    def _choice(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        choices = [Choice(name, text) for name, text in question.options.items()]
        return (yield from self._picked(_asking(question, choices)))

    def _lines(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        said: list[str] = []
        while True:
            line = (
                yield _asking(question, so_far=said, may_end=len(said) >= question.least)
            ).strip()
            if line:
                said.append(line)
            elif len(said) < question.least:
                raise BadInput("write at least one line")
            else:
                return said or _SKIP

    def _name(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        choices = self._choices(question.sections)
        return (yield from self._named(_asking(question, choices, new=question.new)))

    def _names(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        said: list[str] = []
        while True:
            choices = [c for c in self._choices(question.sections) if c.name not in said]
            prompt = _asking(
                question, choices, so_far=said, may_end=len(said) >= question.least,
                new=question.new,
            )  # fmt: skip
            name = yield from self._named(prompt)
            if name is None:
                return said or _SKIP
            said.append(name)

    def _group(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        groups = dict.fromkeys(cause.group for cause in self.rules.causes.values())
        return (yield from self._picked(_asking(question, [Choice(name) for name in groups])))

    def _source(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        choices = self._choices(("sources",))
        own = [c.name for c in choices if self._is_own("sources", c.name)]
        choices.sort(key=lambda choice: choice.name not in own)
        default = own[0] if own else ""
        prompt = _asking(question, choices, new="source", default=default)
        return (yield from self._named(prompt))

    def _strengths(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        said: dict[str, Any] = {}
        while True:
            choices = [
                c for c in self._choices(("complaints", "places", "evidence")) if c.name not in said
            ]
            complaints = {c.name for c in self._choices(("complaints", "places"))}
            enough = bool(complaints & set(said))
            prompt = _asking(question, choices, so_far=list(said), may_end=enough, new="check")
            name = yield from self._named(prompt)
            if name is None:
                return said
            said[name] = yield from self._strength_of(
                name, "If only this were wrong, how likely is"
            )

    def _strength_of(self, name: str, ask: str) -> Asked:
        """A word of the scale for what a fact shows, or words by state where it has several."""
        states = self._states(name)
        telling = list(states.items())[1:]
        if len(telling) <= 1:
            what = self._title(name) + (f" – {telling[0][1]}" if telling else "")
            return (yield from self._word(f"{ask} “{what}”?"))
        said = {}
        for state, label in telling:
            word = yield from self._word(f"{ask} “{self._title(name)} – {label}”?", may_end=True)
            if word is not None:
                said[state] = word
                self._leaves_room(said)
        if not said:
            raise BadInput("name a strength for one of its answers at least")
        return said

    def _leaves_room(self, said: Mapping[str, str]) -> None:
        """Raises `BadInput` where the answers of one check come to more than certain together."""
        if sum(map(self.rules.scale.number, said.values())) > 1:
            raise BadInput(
                "together with the other answers that is more than certain; write a weaker word"
            )

    def _word(self, ask: str, *, may_end: bool = False) -> Asked:
        choices = tuple(Choice(word) for word in self.rules.scale.words)
        return (yield from self._picked(Prompt(ask, choices=choices, may_end=may_end)))

    def _shown_by(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        self._fresh["this"] = body
        said: dict[str, Any] = {}
        while True:
            choices = [c for c in self._choices(("causes",)) if c.name not in said]
            prompt = _asking(question, choices, so_far=list(said), may_end=bool(said))
            name = yield from self._named(prompt)
            if name is None:
                return said
            said[name] = yield from self._strength_of(
                "this", "With this cause alone, how likely is"
            )

    def _puts_right(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        return (yield from self._linked_names(question, ("causes",)))

    def _before(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        return (yield from self._linked_names(question, ("observations", "corrections")))

    def _linked_names(self, question: EntryQuestion, sections: tuple[str, ...]) -> Asked:
        said: dict[str, Any] = {}
        while True:
            choices = [c for c in self._choices(sections) if c.name not in said]
            prompt = _asking(question, choices, so_far=list(said), may_end=bool(said))
            name = yield from self._named(prompt)
            if name is None:
                return said
            said[name] = True

    def _states_form(self, labels: Sequence[str]) -> dict[str, str]:
        made: dict[str, str] = {}
        for label in labels:
            stem = "-".join(re.findall(r"[a-z0-9]+", label.lower())[:4]) or "state"
            name, number = stem, 1
            while name in made:
                number += 1
                name = f"{stem}-{number}"
            made[name] = label
        return made

    def _background(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        states = body.get("states") or {"no": "No", "yes": "Yes"}
        telling = list(states.items())[1:]
        said = {}
        for state, label in telling:
            said[state] = yield from self._word(f"{question.ask.rstrip('?')}: “{label}”?")
            self._leaves_room(said)
        return said if len(telling) > 1 else next(iter(said.values()))

    def _unit(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        units = {unit.printed: unit.kind for unit in unit_spellings().values() if unit.printed}
        choices = [Choice(name, kind) for name, kind in units.items()]
        return (yield from self._picked(_asking(question, choices)))

    def _limits(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        line = yield _asking(question)
        found = _RANGE.fullmatch(line)
        if found is None:
            raise BadInput("write the lowest and the highest, such as 0 to 200")
        ends = [parse_quantity(text, body["unit"]) for text in found.groups()]
        if ends[0].value >= ends[1].value:
            raise BadInput("the lowest comes first")
        return [str(end) for end in ends]

    def _bands(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        limits: list[tuple[str, str, str]] = []
        while True:
            said = [f"{word} {limit}: {label}" for word, limit, label in limits]
            line = (yield _asking(question, so_far=said, may_end=bool(limits))).strip()
            if not line:
                if not limits:
                    raise BadInput("say when it is off, such as: above 120 mm")
                break
            word, limit = _compared(line, body["unit"])
            if word not in ("above", "below"):
                raise BadInput("write above or below, such as: above 120 mm")
            label = (yield Prompt(f"What is it then, {word} {limit}?", such_as="too much")).strip()
            if not label:
                raise BadInput("write what it is then, in a word or two")
            limits.append((word, limit, label))
        normal = Prompt("And what is it otherwise?", default="as it should be", may_end=True)
        states = self._states_form([(yield normal).strip() or "as it should be"])
        own = self._states_form([*states.values(), *(label for *_, label in limits)])
        keys = list(own)
        bands = [(w, t, keys[n]) for n, (w, t, _) in enumerate(limits, 1)]

        def outer_first(band: tuple[str, str, str]) -> tuple[str, float]:
            offset = parse_threshold(band[1], body["unit"]).offset
            value = offset.to(body["unit"]).value if offset is not None else 0.0
            return band[0], -value if band[0] == "above" else value

        body["bands"] = [{"state": k, w: t} for w, t, k in sorted(bands, key=outer_first)]
        return own

    def _states(self, name: str) -> dict[str, str]:
        """The answers of a fact, none for a complaint."""
        if name in self._fresh:
            return self._fresh[name].get("states") or {"no": "No", "yes": "Yes"}
        node = self.rules.nodes.get(name)
        if node is not None and node.kind != "complaint":
            return dict(zip(node.states, node.labels, strict=True))
        return {}

    def _labels(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        said: list[str] = []
        while True:
            enough = len(said) != 1
            default = "" if said else "No, Yes"
            prompt = _asking(question, so_far=said, may_end=enough, default=default)
            line = (yield prompt).strip()
            if line:
                said.append(line)
            elif not enough:
                raise BadInput("give the other answer as well")
            else:
                return self._states_form(said) if said else _SKIP

    def _when(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        parts: list[dict[str, Any]] = []
        while True:
            told = [_told(part) for part in parts]
            prompt = _asking(
                question, self._choices(("facts",)), so_far=told, may_end=bool(parts),
                detail="begin with `not` for what must not be known so",
            )  # fmt: skip
            line = yield prompt
            if not line.strip():
                if not parts:
                    raise BadInput("name what must be known")
                break
            denied = line.strip().lower().startswith("not ")
            name = pick(prompt, line.strip()[4:] if denied else line)
            part = yield from self._condition(name)
            parts.append({"not": part} if denied else part)
        if len(parts) == 1:
            return parts[0]
        both = (Choice("all", "all of it must be so"), Choice("any", "one of it is enough"))
        how = yield from self._picked(Prompt("How do they go together?", choices=both))
        return {how: parts}

    def _condition(self, name: str) -> Asked:
        entry = self.rules.observations.get(name)
        if entry is not None and entry.kind == "measurement":
            ask = f"{entry.ask}: above or below which reading?"
            line = yield Prompt(ask, such_as=f"above 120 {entry.unit}")
            word, limit = _compared(line, str(entry.unit))
            return {"reading": name, word: limit}
        states = self._fact_states(name)
        if states == ["yes"]:
            return {"fact": name, "is": "yes"}
        choices = tuple(Choice(state, label) for state, label in self._fact_labels(name).items())
        state = yield from self._picked(
            Prompt(f"{self._title(name)}: which answer?", choices=choices)
        )
        return {"fact": name, "is": state}

    def _then(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        choices = [Choice(name, text) for name, text in question.options.items()]
        what = yield from self._picked(_asking(question, choices))
        if what == "caution":
            prompt = Prompt(
                "Which caution?", choices=tuple(self._choices(("cautions",))), new="caution"
            )
            return {"caution": (yield from self._named(prompt))}
        if what == "finding":
            found = Prompt("Which finding?", choices=tuple(self._choices(("findings",))))
            name = yield from self._picked(found)
            labels = self.rules.findings[name].states
            states = tuple(Choice(state, label) for state, label in labels.items())
            state = yield from self._picked(Prompt("In which state?", choices=states))
            return {"finding": {name: state}}
        ask = (
            "Why must it not be ridden?"
            if what == "do_not_ride"
            else "What cannot be, and what now?"
        )
        text = (yield Prompt(ask, such_as="The bike must stand until the bolt is renewed.")).strip()
        if not text:
            raise BadInput("write a sentence")
        if what == "do_not_ride":
            return {what: text}
        looked = EntryQuestion("check", "names", "Which answers are checked again?",
                               sections=("observations",), least=1)  # fmt: skip
        return {what: text, "check": (yield from self._names(looked, body))}

    def _answers(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        said: dict[str, str] = {}
        while True:
            told = [f"{name}: {text}" for name, text in said.items()]
            choices = [c for c in self._choices(("observations",)) if c.name not in said]
            prompt = _asking(question, choices, so_far=told, may_end=True)
            name = yield from self._named(prompt)
            if name is None:
                return said
            entry = self.rules.observations[name]
            if entry.kind == "measurement":
                line = (
                    yield Prompt(f"{entry.ask}: which reading?", such_as=f"12 {entry.unit}")
                ).strip()
                read_answer(self.rules, name, line)
                said[name] = line
                continue
            states = tuple(Choice(state, label) for state, label in entry.states.items())
            said[name] = yield from self._picked(Prompt(f"{entry.ask}", choices=states))

    def _change_form(self, name: str) -> EntryKind:
        section = self._section_of(name)
        kinds = entry_kinds()
        if section == "observations":
            measured = self.rules.observations[name].kind == "measurement"
            return kinds["measurement" if measured else "check"]
        return next(kind for kind in kinds.values() if kind.section == section)

    def _change_of(self, question: EntryQuestion, body: dict[str, Any]) -> Asked:
        name = str(body["entry"])
        kind = self._change_form(name)
        entry = getattr(self.rules, kind.section)[name].model_dump(mode="json", by_alias=True)
        skipped = {"source", "kind", "states", "unit", "limits"}
        fields = [q for q in kind.questions if not q.top and q.field not in skipped]
        choices = [Choice(q.field, _now(entry.get(q.field))) for q in fields]
        field = yield from self._picked(_asking(question, choices))
        asked = next(q for q in fields if q.field == field)
        self._fresh["this"] = entry
        if asked.form == "strengths":
            what = yield from self._named(
                Prompt("What does it bring about or show?",
                       choices=tuple(self._choices(("complaints", "places", "evidence"))))
            )  # fmt: skip
            ask = "If only this were wrong, how likely is"
            return {field: {what: (yield from self._strength_of(what, ask))}}
        if asked.form == "background":
            body["states"] = entry["states"]
        value = yield from self._ask(kind, asked, body)
        body.pop("states", None)
        if value is _SKIP:
            value = False if asked.form == "flag" else []
        return {field: value}

    # -- names -----------------------------------------------------------------------------------

    def _picked(self, prompt: Prompt) -> Asked:
        line = yield prompt
        if not line.strip() and prompt.may_end and not prompt.default:
            return None
        return pick(prompt, line)

    def _named(self, prompt: Prompt) -> Asked:
        """The id of an entry that is there or is made now; None where the list ends."""
        line = yield prompt
        if prompt.new and line.strip().lower() == NEW:
            return (yield from self._entry(entry_kinds()[prompt.new], top=False))
        if not line.strip() and prompt.may_end and not prompt.default:
            return None
        return pick(prompt, line)

    def _choices(self, sections: Iterable[str]) -> list[Choice]:
        """Everything of some sections that can be named; `places` are complaints at their places,
        `evidence` what can be shown, `facts` what a rule may look at."""
        found: dict[str, str] = {}
        for section in sections:
            if section == "places":
                for key, complaint in self.rules.complaints.items():
                    for node in complaint_nodes(key, complaint):
                        found.setdefault(node, self.rules.nodes[node].title)
            elif section == "evidence":
                found |= {
                    key: node.title
                    for key, node in self.rules.nodes.items()
                    if node.kind != "complaint"
                }
                found |= self._made.get("observations", {})
            elif section == "facts":
                found |= {key: entry.title for key, entry in self.rules.traits.items()}
                found |= {key: node.title for key, node in self.rules.nodes.items()}
                found |= {key: entry.ask for key, entry in self.rules.observations.items()}
            else:
                table = getattr(self.rules, section)
                found |= {key: _called(entry) for key, entry in table.items()}
                found |= self._made.get(section, {})
        return [Choice(name, title) for name, title in found.items()]

    def _title(self, name: str) -> str:
        if name in self._fresh:
            body = self._fresh[name]
            return str(body.get("ask") or body.get("title") or name)
        for choice in self._choices(("complaints", "places", "facts")):
            if choice.name == name:
                return choice.title or name
        return name

    def _fact_labels(self, name: str) -> dict[str, str]:
        if name in self.rules.traits:
            return dict(self.rules.traits[name].options)
        for table in (self.rules.observations, self.rules.findings):
            if name in table:
                return dict(table[name].states)
        return {"yes": "Yes"}

    def _fact_states(self, name: str) -> list[str]:
        return list(self._fact_labels(name))

    def _section_of(self, name: str) -> str:
        sections = ("causes", "observations", "corrections", "cautions", "findings")
        return next(s for s in sections if name in getattr(self.rules, s))

    def _is_own(self, section: str, name: str) -> bool:
        return name in self._made.get(section, {}) or (
            (section, name) in self.rules.origins
            and self.rules.origins[section, name].pack == self.pack
        )


def _asking(
    question: EntryQuestion,
    choices: Iterable[Choice] = (),
    *,
    so_far: Sequence[str] = (),
    may_end: bool = False,
    detail: str = "",
    new: str = "",
    default: str = "",
) -> Prompt:
    return Prompt(
        question.ask, question.such_as, detail, tuple(choices), tuple(so_far), may_end, new, default
    )


def _called(entry: Any) -> str:
    for field in ("title", "ask", "text"):
        if getattr(entry, field, None):
            return str(getattr(entry, field))
    return ""


def _compared(line: str, unit: str) -> tuple[str, str]:
    """(comparison, limit as written) from `above 120 mm`."""
    text = " ".join(line.lower().replace(">", "above ").replace("<", "below ").split())
    for words, name in _COMPARED.items():
        if text.startswith(f"{words} "):
            limit = " ".join(line.replace(">", "above ").replace("<", "below ").split())
            limit = limit[len(words) :].strip()
            if re.fullmatch(r"[-+]?[0-9]+([.,][0-9]+)?", limit):
                limit = f"{limit.replace(',', '.')} {unit}"
            parse_threshold(limit, unit)
            return name, limit
    raise BadInput(f"write above or below and a figure, such as: above 120 {unit}")


def _told(part: Mapping[str, Any]) -> str:
    if "not" in part:
        return f"not {_told(part['not'])}"
    name, *rest = part.values()
    word = next((key.replace("_", " ") for key in part if key not in ("fact", "reading")), "is")
    return f"{name} {word} {rest[0]}"


def _now(value: Any) -> str:
    """What a field holds, in a few words."""
    if isinstance(value, dict | list):
        value = ", ".join(map(str, value))
    text = "" if value in (None, "", False) else str(value)
    return f"now: {text[:60]}" if text else "now: nothing"


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
