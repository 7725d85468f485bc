"""What a line of a bike's form says: its title, the value, and where the value comes from."""

from __future__ import annotations

from typing import NamedTuple

from diagnose.case.events import machine_traits
from diagnose.case.figures import figure_of
from diagnose.words.figure_words import LOOK_IT_UP, RANK_WORDS
from diagnose.words.titles import setting_title
from rules.rulebase import RuleBase
from tui.bikes.bike_draft import BikeDraft, Fact


class BikeFact(NamedTuple):
    """A line in words; `origin` is empty where there is nothing to say of it."""

    title: str
    value: str
    origin: str = ""


def told(rules: RuleBase, draft: BikeDraft, fact: Fact) -> BikeFact:
    """The words of a line."""
    if fact.kind == "name":
        return BikeFact("Name", draft.name or "none given")
    if fact.kind == "use":
        return BikeFact("Ridden on and for", draft.used_for or "not said")
    if fact.kind == "trait":
        trait = rules.traits[fact.id]
        option = machine_traits(rules, draft.machine)[fact.id]
        assumed = "" if fact.id in draft.machine.machine else "assumed"
        return BikeFact(trait.title, trait.options.get(option, option), assumed)
    if fact.kind == "figure":
        figure = figure_of(rules, draft.machine, fact.id)
        title, value = rules.specs[fact.id].title, str(figure.value)
        if not figure.says_anything:
            return BikeFact(title, "not known", LOOK_IT_UP)
        by_manual = figure.rank == "manual"
        origin = _read_in(draft, fact.id) if by_manual else RANK_WORDS[figure.rank]
        return BikeFact(title, value, origin)
    baseline = draft.baseline(fact.id)
    value, since = ("not noted", "") if baseline is None else (baseline[0], str(baseline[1]))
    return BikeFact(setting_title(rules, fact.id), value, since)


def _read_in(draft: BikeDraft, spec: str) -> str:
    entry = draft.figures.get(spec)
    return draft.bike.targets[spec].read_in if entry is None else entry.read_in
