"""What a step, a piece of evidence or a source says in plain words, for every kind of output."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.case import Answered, Case, Complained, target_of
from diagnose.evidence import Evidence
from diagnose.planning import Step
from rules.rulebase import RuleBase
from rules.schema import Observation

_HEADINGS = {
    "complain": "What does the rider complain of?",
    "check-again": "Two answers do not fit together",
    "close": "Proven: close the case",
    "hand-over": "Hand the bike to a specialist",
}


@dataclass(frozen=True, slots=True)
class StepText:
    """A step as it is shown: cautions stand before what to do."""

    heading: str
    cautions: tuple[str, ...] = ()
    how: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    note: str = ""
    sources: tuple[str, ...] = ()


def step_text(rules: RuleBase, case: Case, step: Step) -> StepText:
    """The words for a step."""
    if step.kind in ("ask", "measure", "inspect", "ride-test"):
        return observation_text(rules, case, step.target)
    if step.kind == "correct":
        entry = rules.corrections[step.target]
        note = f"Done by: {entry.who}. What can go wrong: {entry.goes_wrong}"
        if entry.parts_list:
            note = f"Parts: {', '.join(entry.parts_list)}. {note}"
        return StepText(
            entry.title,
            caution_texts(rules, entry.cautions),
            entry.steps,
            entry.tools,
            note,
            entry.source,
        )
    if step.kind == "confirm":
        entry = rules.corrections[step.target]
        return StepText(
            "Confirming ride",
            caution_texts(rules, rules.policy.ride_cautions),
            (entry.proof,),
            note="How is the complaint now?",
            sources=entry.source,
        )
    return StepText(_HEADINGS[step.kind], note=step.why)


def observation_text(rules: RuleBase, case: Case, observation: str) -> StepText:
    """The words for making an observation."""
    entry = rules.observations[observation]
    note = ""
    if entry.target is not None:
        target, is_default = target_of(rules, case, entry.target)
        origin = "rule of thumb; the manual's figure goes first" if is_default else "as given"
        note = f"Target: {target} ({origin})"
    return StepText(
        _sentence(entry.ask),
        caution_texts(rules, entry.cautions),
        entry.how,
        entry.tools,
        note,
        entry.source,
    )


def caution_texts(rules: RuleBase, cautions: Iterable[str]) -> tuple[str, ...]:
    """The texts of some cautions."""
    return tuple(rules.cautions[name].text for name in cautions)


def complaint_text(rules: RuleBase, complained: Complained) -> str:
    """`Harsh (front)`."""
    place = f" ({complained.place})" if complained.place else ""
    return rules.complaints[complained.complaint].title + place


def evidence_text(rules: RuleBase, item: Evidence, case: Case | None = None) -> str:
    """A piece of evidence as a person would say it."""
    if item.kind == "ride":
        return f"ride after {', '.join(item.corrected) or 'nothing'}: {item.state}"
    if item.kind == "complaint":
        name, _, place = item.key.partition("/")
        return f"complaint: {complaint_text(rules, Complained(name, place or None))}"
    node = rules.nodes[item.nodes[0]]
    reading = _reading(case, item.key) if case is not None else ""
    if item.detail:
        reading = f"{item.detail}: "
    return f"{_sentence(node.title)} {reading}{node.label(item.state)}"


def _reading(case: Case, observation: str) -> str:
    for event in reversed(case.events):
        if isinstance(event, Answered) and event.observation == observation and event.reading:
            return f"{event.reading}: "
    return ""


def answer_text(rules: RuleBase, answer: Answered) -> str:
    """An answer as a person would say it."""
    if answer.reading is not None:
        return str(answer.reading)
    if answer.state is not None:
        return rules.observations[answer.observation].states[answer.state]
    return "cannot be checked here" if answer.cannot_here else "don't know"


def source_text(rules: RuleBase, source: str) -> str:
    """A source in one line."""
    return str(rules.sources[source])


def choices(entry: Observation) -> list[tuple[str, str]]:
    """(state, label) in the order they are offered; a plain yes/no offers yes first."""
    states = list(entry.states.items())
    return states[::-1] if set(entry.states) == {"no", "yes"} else states


def _sentence(text: str) -> str:
    """`text` with a capital, and a colon behind what is no question or sentence."""
    text = text[:1].upper() + text[1:]
    return text if text.endswith(("?", ":", ".")) else f"{text}:"
