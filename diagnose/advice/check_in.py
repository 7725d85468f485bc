"""What to ask on one page before the first step: ticks about history and riding, and readings."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from diagnose.advice.assessor import Assessment
from diagnose.case.events import standing
from rules.language.schema import Observation

MOST_SINCE, MOST_SHOWS, MOST_READINGS = 8, 12, 4
"""What one small screen holds (our own choice)."""


@dataclass(frozen=True, slots=True)
class CheckIn:
    """Ids of observations: yes/no questions about what happened `since` it felt right and about
    where it `shows`, and the `readings` that tell most. What is answered comes first in each of the
    two lists of ticks, then what is worth most; an answered reading is left out. Readings go by the
    chance that a suspect they can confirm is there, per minute."""

    since: tuple[str, ...]
    shows: tuple[str, ...]
    readings: tuple[str, ...]

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing on the page."""
        return not (self.since or self.shows or self.readings)


def check_in(assessment: Assessment) -> CheckIn:
    """What may still matter for the complaints of a case, by what each is worth less its cost."""
    belief, rules = assessment.belief, assessment.model.rules
    answers = standing(belief.case).answers
    bears = assessment.model.network.nodes_showing(belief.matters)
    worth = assessment.worth
    ranked = sorted(worth, key=lambda name: -worth[name])

    def kept(names: Iterable[str], wanted: Callable[[Observation], bool]) -> Iterator[str]:
        return (name for name in names if wanted(rules.observations[name]))

    said = [name for name in answers if name in rules.observations and name in bears]

    def ticks(wanted: Callable[[Observation], bool], most: int) -> tuple[str, ...]:
        return tuple([*kept(said, wanted), *kept(ranked, wanted)][:most])

    return CheckIn(
        since=ticks(_is_history, MOST_SINCE),
        shows=ticks(lambda entry: entry.phase, MOST_SHOWS),
        readings=tuple(kept(_by_suspects(assessment), _is_reading))[:MOST_READINGS],
    )


def _by_suspects(assessment: Assessment) -> list[str]:
    """Observations by how likely what they can confirm is there, per minute that they take."""
    model, marginal = assessment.model, assessment.belief.open_marginal
    telling: dict[str, float] = {}
    for option in assessment.options:
        causes = model.confirms.get(option.node, [])
        chance = float(sum(marginal[model.network.cause_index[cause]] for cause in causes))
        known = telling.get(option.observation, 0.0)
        telling[option.observation] = max(known, chance / option.minutes)
    return sorted(telling, key=lambda name: -telling[name])


def _is_history(entry: Observation) -> bool:
    return entry.kind == "history" and set(entry.states) == {"no", "yes"}


def _is_reading(entry: Observation) -> bool:
    return entry.kind == "measurement" and not entry.opens and entry.enters is None
