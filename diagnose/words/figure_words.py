"""What a reading should be in words, always with whose figure that is."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.case.events import Case
from diagnose.case.figures import Figure, Rank
from diagnose.case.set_figures import found_and_set, is_two_sided
from diagnose.words.titles import lowered, setting_title
from rules.language.schema import Observation
from rules.rulebase import RuleBase

RANK_WORDS: Mapping[Rank, str] = {
    "manual": "as given",
    "shop": "the shop's own",
    "published": "printed for this kind",
    "thumb": "rule of thumb",
}
"""Whose figure it is, in a few words."""

LOOK_IT_UP = "look it up"
NOT_JUDGED = "cannot be judged without the manual's figure"


def short_figure(figure: Figure) -> str:
    """`12.5 psi rule of thumb`; that it has to be looked up where no rule of thumb will do."""
    if not figure.says_anything:
        return LOOK_IT_UP
    return f"{figure.value} {RANK_WORDS[figure.rank]}"


def held_to(entry: Observation) -> str:
    """How a reading stands to its figure: a thing is set to one, and wear or play is held within
    the other."""
    return "should be" if is_two_sided(entry) else "limit"


def card_figure(figure: Figure, unit: str, *, is_limit: bool) -> str:
    """What a reading should be, as it stands on a card, in the unit it was read in: a figure that
    is not the bike's own is no order to set anything to it. `is_limit`: wear, play or age are held
    against it, and nothing is set to it."""
    if not figure.says_anything:
        return "the manual's figure"
    value = figure.value.read_in(unit)
    if figure.is_own:
        return f"{value} {RANK_WORDS[figure.rank]}"
    if is_limit:
        return f"{value} {RANK_WORDS[figure.rank]}; the manual's figure decides"
    return f"about {value}, usual for such bikes; the manual's figure decides"


def figure_text(figure: Figure) -> str:
    """A figure, whose it is, and what such bikes run where that is not the bike's own."""
    if not figure.says_anything:
        return "the manual's figure; bikes of this kind differ too much for a rule of thumb"
    return f"{figure.value} ({_origin(figure)})"


def whose_figure(figure: Figure) -> str:
    """Whose figure it is, and that the manual's goes first where it is not the bike's own."""
    words = RANK_WORDS[figure.rank]
    return words if figure.is_own else f"{words}; the manual's figure goes first"


def _origin(figure: Figure) -> str:
    told = whose_figure(figure)
    if figure.is_own:
        return told
    if figure.usual is None:
        return told
    low, high = figure.usual
    least = f"{low.value:g}" if low.unit == high.unit else str(low)
    return f"{told}; such bikes run {least} to {high}"


def found_set_text(rules: RuleBase, case: Case, correction: str) -> str:
    """`found 20 psi, set 13 psi`: what a correction found and what it set, in the unit it was set
    in; empty where nothing was read. Each reading has its name where there are several, and where
    the work is not all about it."""
    made = found_and_set(rules, case, correction)
    is_plain = len(made) == 1 and rules.corrections[correction].setting
    told = []
    for one in made:
        name = "" if is_plain else f"{lowered(setting_title(rules, one.observation))}: "
        found = "found figure not read"
        if one.found is not None:
            unit = one.set_to.unit if one.set_to else one.found.unit
            found = f"found {one.found.read_in(unit)}"
        told.append(f"{name}{found}, {f'set {one.set_to}' if one.set_to else 'not read again'}")
    return "; ".join(told)
