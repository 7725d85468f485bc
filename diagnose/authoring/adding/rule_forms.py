"""When a rule holds, and what follows then."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnose.authoring.adding.asking import Asked, Asker, asking, compared
from diagnose.authoring.adding.choosing import Choice, Prompt
from diagnose.authoring.adding.naming_forms import names
from diagnose.authoring.adding.questions import EntryQuestion
from rules.problems import BadInput


def when(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """The conditions of a rule."""
    parts: list[dict[str, Any]] = []
    while True:
        told = [_told(asker, part) for part in parts]
        prompt = asking(
            question, asker.names.choices(("facts",)), sections=("facts",), so_far=told,
            may_end=bool(parts), denies=True,
            detail="begin with `not` for what must not be known so",
        )  # fmt: skip
        line = yield prompt
        if not line.strip():
            if not parts:
                raise BadInput("name what must be known")
            break
        denied = line.strip().lower().startswith("not ")
        name = asker.pick(prompt, line.strip()[4:] if denied else line)
        part = yield from _condition(asker, name)
        parts.append({"not": part} if denied else part)
    if len(parts) == 1:
        return parts[0]
    both = (Choice("all", "all of it must be so"), Choice("any", "one of it is enough"))
    how = yield from asker.picked(Prompt("How do they go together?", choices=both))
    return {how: parts}


def _condition(asker: Asker, name: str) -> Asked:
    entry = asker.names.rules.observations.get(name)
    if entry is not None and entry.kind == "measurement":
        ask = f"{entry.ask}: above or below which reading?"
        line = yield Prompt(ask, such_as=f"above 120 {entry.unit}")
        word, limit = compared(line, str(entry.unit))
        return {"reading": name, word: limit}
    states = list(asker.names.labels(name))
    if states == ["yes"]:
        return {"fact": name, "is": "yes"}
    choices = tuple(Choice(state, label) for state, label in asker.names.labels(name).items())
    title = asker.names.title(name).rstrip("?:")
    state = yield from asker.picked(Prompt(f"{title}: which answer?", choices=choices))
    return {"fact": name, "is": state}


def then(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """What follows from a rule."""
    choices = [Choice(name, text) for name, text in question.options.items()]
    what = yield from asker.picked(asking(question, choices))
    if what == "caution":
        prompt = Prompt(
            "Which caution?",
            choices=tuple(asker.names.choices(("cautions",))),
            new="caution",
            sections=("cautions",),
        )
        return {"caution": (yield from asker.named(prompt))}
    if what == "finding":
        found = Prompt("Which finding?", choices=tuple(asker.names.choices(("findings",))),
                       sections=("findings",))  # fmt: skip
        name = yield from asker.picked(found)
        labels = asker.names.rules.findings[name].states
        states = tuple(Choice(state, label) for state, label in labels.items())
        state = yield from asker.picked(Prompt("In which state?", choices=states))
        return {"finding": {name: state}}
    ask = "Why must it not be ridden?" if what == "do_not_ride" else "What cannot be, and what now?"
    text = (yield Prompt(ask, such_as="The bike must stand until the bolt is renewed.")).strip()
    if not text:
        raise BadInput("write a sentence")
    if what == "do_not_ride":
        return {what: text}
    looked = EntryQuestion("check", "names", "Which answers are checked again?",
                           sections=("observations",), least=1)  # fmt: skip
    return {what: text, "check": (yield from names(asker, looked, body))}


def _told(asker: Asker, part: Mapping[str, Any]) -> str:
    if "not" in part:
        return f"not so: {_told(asker, part['not'])}"
    name, said = part.values()
    title = asker.names.title(name).rstrip("?")
    word = next((key.replace("_", " ") for key in part if key not in ("fact", "reading")), "is")
    if word == "is":
        return f"{title}: {asker.names.labels(name).get(said, said)}"
    return f"{title} {word} {said}"
