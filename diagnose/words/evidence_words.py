"""A piece of evidence, and how it weighs on a cause."""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.case.events import Answered, Case, Corrected, standing
from diagnose.case.figures import figure_of
from diagnose.case.set_figures import last_reading
from diagnose.inference.evidence import Evidence
from diagnose.inference.found_faults import FoundFault
from diagnose.inference.posterior import RankedCause, Weight
from diagnose.records.cases.case_title import complaint_title
from diagnose.words.event_words import complaint_key_text
from diagnose.words.figure_words import NOT_JUDGED, held_to, short_figure
from diagnose.words.titles import lowered, sentence
from rules.rulebase import RuleBase

_TWICE, _TEN, _MOST_TIMES = 1.5, 10, 1000
_WORTH_SAYING = 0.5


def evidence_text(rules: RuleBase, item: Evidence, case: Case | None = None) -> str:
    """A piece of evidence as a person would say it; with `case`, the reading behind it too, and
    the figure that it is held against with whose that is."""
    if item.kind == "ride":
        titles = [lowered(rules.corrections[name].title) for name in item.corrected]
        after = f"after this work: {'; '.join(titles)}" if titles else "before any work"
        several = case is not None and len(standing(case).complaints) > 1
        about = item.ride.about if item.ride is not None and several else None
        felt = f", {lowered(complaint_title(rules, about))}" if about is not None else ""
        return f"ride{felt}: {item.state}, {after}"
    if item.kind == "complaint":
        return f"complaint: {complaint_key_text(rules, item.key)}"
    node = rules.nodes[item.nodes[0]]
    reading = _reading(case, item) if case is not None else ""
    if item.detail:
        reading = f"{item.detail}: "
    label = node.label(item.state)
    if item.weight < 1:
        label = f"{NOT_JUDGED}; if anything {label}"
    figure = "" if case is None else _figure(rules, item, case)
    return f"{sentence(node.title)} {reading}{label}{figure}"


def _figure(rules: RuleBase, item: Evidence, case: Case) -> str:
    """What a reading is held against and whose figure that is, in brackets; empty for others."""
    entry = rules.observations.get(item.key)
    if entry is None or entry.target is None:
        return ""
    figure = figure_of(rules, case, entry.target)
    if item.weight < 1 and not figure.says_anything:
        return ""  # said in words
    reading = last_reading(case, item.key)
    return f" ({short_figure(figure.read_in(reading.unit) if reading else figure)})"


def shortly_shown(rules: RuleBase, fault: FoundFault, case: Case) -> str:
    """What shows a fault, in few words where a reading does: `25 psi, should be 13 psi`."""
    target = rules.observations[fault.shown_by.key].target
    reading = last_reading(case, fault.shown_by.key)
    if target is None or reading is None:
        return evidence_text(rules, fault.shown_by, case)
    figure = figure_of(rules, case, target).read_in(reading.unit)
    return f"{reading}, {held_to(rules.observations[fault.shown_by.key])} {short_figure(figure)}"


def worth_saying(weights: Iterable[Weight]) -> list[Weight]:
    """The weights that move the odds enough to be worth a line (half a deciban; our own choice)."""
    return [weight for weight in weights if abs(weight.decibans) >= _WORTH_SAYING]


def strength_text(decibans: float) -> str:
    """What a weight does to the odds of a cause, in words: `makes it 10 times likelier`."""
    times = 10 ** (abs(decibans) / 10)
    way = "likelier" if decibans > 0 else "less likely"
    if times < _TWICE:
        return f"makes it a little {way}"
    if times > _MOST_TIMES:
        return f"makes it over {_MOST_TIMES} times {way}"
    rounded = round(times) if times < _TEN else round(times, -1)
    return f"makes it {rounded:g} times {way}"


def for_and_against(item: RankedCause) -> tuple[tuple[str, list[Weight]], ...]:
    """(`for` or `against`, what is worth saying of it) for one cause."""
    return ("for", worth_saying(item.supporting)), ("against", worth_saying(item.opposing))


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
