"""What a step, a piece of evidence or a source says in plain words, for every kind of output."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from diagnose.advice.planning import Step
from diagnose.case.events import Answered, Case, Complained, Corrected, standing, target_of
from diagnose.inference.evidence import Evidence
from rules.language.schema import Observation
from rules.rulebase import RuleBase

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


def step_text(rules: RuleBase, case: Case, step: Step, cautions: Sequence[str] = ()) -> StepText:
    """The words for a step; `cautions` that rules have raised stand before its own."""
    words = _step_text(rules, case, step)
    raised = caution_texts(rules, cautions)
    return replace(words, cautions=tuple(dict.fromkeys([*raised, *words.cautions])))


def _step_text(rules: RuleBase, case: Case, step: Step) -> StepText:
    if step.kind in ("ask", "measure", "inspect", "ride-test"):
        return observation_text(rules, case, step.target)
    if step.kind == "correct":
        entry = rules.corrections[step.target]
        note = f"Done by: {entry.who}. What can go wrong: {entry.goes_wrong}"
        figures = _figures_for(rules, case, step.target)
        if figures:
            note = f"{figures} {note}"
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


def _figures_for(rules: RuleBase, case: Case, correction: str) -> str:
    """What was read that this correction puts right, and what it should be on this machine."""
    causes = {key for key, cause in rules.causes.items() if cause.correction == correction}
    nodes = {link.node for link in rules.links if link.cause in causes}
    told = []
    for name, answer in standing(case).answers.items():
        entry = rules.observations[name]
        if answer.reading is not None and entry.target is not None and name in nodes:
            should_be = _target_text(rules, case, entry.target)
            told.append(f"{sentence(entry.ask)} {answer.reading}, should be {should_be}.")
    return " ".join(told[:2])


def _target_text(rules: RuleBase, case: Case, spec: str) -> str:
    """A figure of the machine, and whether it is only a rule of thumb."""
    figure, is_thumb = target_of(rules, case, spec)
    origin = "rule of thumb; the manual's figure goes first" if is_thumb else "as given"
    return f"{figure} ({origin})"


def observation_text(rules: RuleBase, case: Case, observation: str) -> StepText:
    """The words for making an observation."""
    entry = rules.observations[observation]
    note = ""
    if entry.target is not None:
        note = f"Target: {_target_text(rules, case, entry.target)}"
    return StepText(
        sentence(entry.ask),
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
    reading = _reading(case, item) if case is not None else ""
    if item.detail:
        reading = f"{item.detail}: "
    return f"{sentence(node.title)} {reading}{node.label(item.state)}"


def _reading(case: Case, item: Evidence) -> str:
    """The reading behind `item`: one taken again after a further correction is other evidence."""
    found = ""
    corrected = 0
    for event in case.events:
        if isinstance(event, Corrected):
            corrected += 1
        elif corrected > len(item.corrected):
            break
        elif isinstance(event, Answered) and event.observation == item.key and event.reading:
            found = f"{event.reading}: "
    return found


def answer_text(rules: RuleBase, answer: Answered) -> str:
    """An answer as a person would say it."""
    if answer.reading is not None:
        return str(answer.reading)
    if answer.state is not None:
        return rules.observations[answer.observation].states[answer.state]
    return "cannot be checked here" if answer.cannot_here else "don't know"


def source_text(rules: RuleBase, source: str) -> str:
    """A source in one line, with the pack that names it where several are loaded."""
    text = str(rules.sources[source])
    if len(rules.packs) < 2:
        return text
    return f"{text} [{rules.pack_title(rules.origins[('sources', source)].pack)}]"


def pack_text(rules: RuleBase, section: str, key: str) -> str:
    """The pack an entry comes from, and those that changed it with their reasons.

    `Our shop`, or `Off-road motorcycles, changed by Our shop: we see it often`; empty where only
    one pack is loaded.
    """
    if len(rules.packs) < 2 or (section, key) not in rules.origins:
        return ""
    text = rules.pack_title(rules.origins[(section, key)].pack)
    for change in rules.changes(section, key):
        text += f", changed by {rules.pack_title(change.pack)}: {change.reason.rstrip('.')}"
    return text


def step_pack_text(rules: RuleBase, step: Step) -> str:
    """The pack that a step's observation or correction comes from, as `pack_text` gives it."""
    return pack_text(rules, *step_entry(step))


def step_entry(step: Step) -> tuple[str, str]:
    """(section, id) of what a step is about; of no entry for a step that needs none."""
    if step.kind in ("correct", "confirm"):
        return "corrections", step.target
    return ("rules" if step.kind == "check-again" else "observations"), step.target


def choices(entry: Observation) -> list[tuple[str, str]]:
    """(state, label) in the order they are offered; a plain yes/no offers yes first."""
    states = list(entry.states.items())
    return states[::-1] if set(entry.states) == {"no", "yes"} else states


def sentence(text: str) -> str:
    """`text` with a capital, and a colon behind what is no question or sentence."""
    text = text[:1].upper() + text[1:]
    return text if text.endswith(("?", ":", ".")) else f"{text}:"
