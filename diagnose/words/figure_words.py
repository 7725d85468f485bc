"""What a reading should be in words, always with whose figure that is."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.case.figures import Figure, Rank

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


def figure_text(figure: Figure) -> str:
    """A figure, whose it is, and what such bikes run where that is not the bike's own."""
    if not figure.says_anything:
        return "the manual's figure; bikes of this kind differ too much for a rule of thumb"
    return f"{figure.value} ({_origin(figure)})"


def _origin(figure: Figure) -> str:
    if figure.is_own:
        return RANK_WORDS[figure.rank]
    told = f"{RANK_WORDS[figure.rank]}; the manual's figure goes first"
    if figure.usual is None:
        return told
    low, high = figure.usual
    least = f"{low.value:g}" if low.unit == high.unit else str(low)
    return f"{told}; such bikes run {least} to {high}"
