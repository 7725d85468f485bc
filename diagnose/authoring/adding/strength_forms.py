"""How much a fact tells of a cause, in words of the pack's scale."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnose.authoring.adding.asking import Asked, Asker, asking, compared, states_form
from diagnose.authoring.adding.choosing import Choice, Prompt
from diagnose.authoring.adding.questions import EntryQuestion
from rules.problems import BadInput
from rules.units.quantities import parse_threshold

SHOWN = ("complaints", "places", "evidence")
"""The sections of what a cause may bring about or show."""
CAUSE_SHOWS = "If only this were wrong, how likely is"


def strengths(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """What a cause brings about and shows, with how likely each is."""
    said: dict[str, Any] = {}
    while True:
        choices = [c for c in asker.names.choices(SHOWN) if c.name not in said]
        complaints = {c.name for c in asker.names.choices(("complaints", "places"))}
        enough = bool(complaints & set(said))
        prompt = asking(
            question, choices, sections=SHOWN, so_far=asker.names.titles(said), may_end=enough,
            new="check",
        )  # fmt: skip
        name = yield from asker.named(prompt)
        if name is None:
            return said
        said[name] = yield from strength_of(asker, name, CAUSE_SHOWS)


def strength_of(asker: Asker, name: str, ask: str) -> Asked:
    """A word of the scale for what a fact shows, or words by state where it has several."""
    states = asker.names.states(name)
    telling = list(states.items())[1:]
    if len(telling) <= 1:
        what = asker.names.title(name) + (f" – {telling[0][1]}" if telling else "")
        return (yield from _word(asker, f"{ask} “{what}”?"))
    said = {}
    for state, label in telling:
        word = yield from _word(
            asker, f"{ask} “{asker.names.title(name)} – {label}”?", may_end=True
        )
        if word is not None:
            said[state] = word
            _leaves_room(asker, said)
    if not said:
        raise BadInput("name a strength for one of its answers at least")
    return said


def shown_by(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """The causes that show in a check, with how likely that is."""
    asker.names.fresh["this"] = body
    said: dict[str, Any] = {}
    while True:
        choices = [c for c in asker.names.choices(("causes",)) if c.name not in said]
        prompt = asking(
            question, choices, sections=("causes",), so_far=asker.names.titles(said),
            may_end=bool(said),
        )  # fmt: skip
        name = yield from asker.named(prompt)
        if name is None:
            return said
        said[name] = yield from strength_of(asker, "this", "With this cause alone, how likely is")


def background(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """How often each answer but the normal one is seen where it is not the trouble."""
    states = body.get("states") or {"no": "No", "yes": "Yes"}
    telling = list(states.items())[1:]
    said = {}
    for state, label in telling:
        said[state] = yield from _word(asker, f"{question.ask.rstrip('?')}: “{label}”?")
        _leaves_room(asker, said)
    return said if len(telling) > 1 else next(iter(said.values()))


def bands(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """The readings at which a measurement is off, and what it is then."""
    limits: list[tuple[str, str, str]] = []
    while True:
        said = [f"{word} {limit}: {label}" for word, limit, label in limits]
        line = (yield asking(question, so_far=said, may_end=bool(limits))).strip()
        if not line:
            if not limits:
                raise BadInput("say when it is off, such as: above 120 mm")
            break
        word, limit = compared(line, body["unit"])
        if word not in ("above", "below"):
            raise BadInput("write above or below, such as: above 120 mm")
        label = (yield Prompt(f"What is it then, {word} {limit}?", such_as="too much")).strip()
        if not label:
            raise BadInput("write what it is then, in a word or two")
        limits.append((word, limit, label))
    normal = Prompt("And what is it otherwise?", default="as it should be", may_end=True)
    states = states_form([(yield normal).strip() or "as it should be"])
    own = states_form([*states.values(), *(label for *_, label in limits)])
    keys = list(own)
    ordered = [(w, t, keys[n]) for n, (w, t, _) in enumerate(limits, 1)]

    def outer_first(band: tuple[str, str, str]) -> tuple[str, float]:
        offset = parse_threshold(band[1], body["unit"]).offset
        value = offset.to(body["unit"]).value if offset is not None else 0.0
        return band[0], -value if band[0] == "above" else value

    body["bands"] = [{"state": k, w: t} for w, t, k in sorted(ordered, key=outer_first)]
    return own


def _word(asker: Asker, ask: str, *, may_end: bool = False) -> Asked:
    choices = tuple(Choice(word) for word in asker.names.rules.scale.words)
    return (yield from asker.picked(Prompt(ask, choices=choices, may_end=may_end)))


def _leaves_room(asker: Asker, said: Mapping[str, str]) -> None:
    """Raises `BadInput` where the answers of one check come to more than certain together."""
    if sum(map(asker.names.rules.scale.number, said.values())) > 1:
        raise BadInput(
            "together with the other answers that is more than certain; write a weaker word"
        )
