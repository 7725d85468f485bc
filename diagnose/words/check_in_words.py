"""The page before the first step in words: questions cut down to ticks, readings with targets."""

from __future__ import annotations

import re

from diagnose.case.events import Case
from diagnose.case.figures import figure_of
from diagnose.words.figure_words import short_figure
from diagnose.words.titles import lowered
from rules.rulebase import RuleBase

SINCE, SHOWS, READINGS = "Since it felt right", "Where it shows", "Readings"
NONE_OF_THEM = "no others"

_OPENINGS = re.compile(
    r"^(?:Does it show|Can you feel or see it|Is it|Did it|(?:Has|Have|Was|Were)(?: it| the)?) "
)
_BEEN = re.compile(r" been\b|^been ")
_ENDINGS = re.compile(r"(?: since (?:it|the bike) last felt right)?\?$")


def tick_text(rules: RuleBase, observation: str) -> str:
    """A yes/no question as a thing to tick, as the pack has it, or else cut down: `rear wheel out`,
    `rocks and roots`."""
    return rules.observations[observation].short or cut_down(rules, observation)


def cut_down(rules: RuleBase, observation: str) -> str:
    """What a yes/no question asks, to stand in a sentence: `on rocks and roots`.

    A question that does not open in one of the usual ways stays whole.
    """
    ask = rules.observations[observation].ask
    rest, opened = _OPENINGS.subn("", ask, count=1)
    if not opened:
        return ask
    text = _BEEN.sub("", _ENDINGS.sub("", rest), count=1).strip()
    return lowered(text)


def counted_title(rules: RuleBase, observation: str, title: str) -> str:
    """The title of a reading, with what is counted from which end where that decides what it says:
    `Fork compression, clicks out from fully closed`."""
    entry = rules.observations[observation]
    if entry.counted is None or entry.counted in title:
        return title
    return f"{title}, {entry.unit} {entry.counted}"


def should_be(rules: RuleBase, case: Case, observation: str) -> str:
    """What a reading should be and whose figure that is, in brief; empty without a target."""
    spec = rules.observations[observation].target
    if spec is None:
        return ""
    return short_figure(figure_of(rules, case, spec))
