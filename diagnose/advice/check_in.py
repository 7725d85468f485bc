"""What to ask on one page before the first step: ticks about history and riding, and readings."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.case.events import Answered, Case, standing
from rules.language.schema import Observation
from rules.rulebase import RuleBase

MOST_SINCE, MOST_SHOWS, MOST_READINGS = 5, 7, 4
"""What is taken in at one look (our own choice)."""

MOST_MINUTES = 8.0
"""How long a reading of the page takes at most, as long as sag: what needs more is a step of its
own (our own choice)."""


@dataclass(frozen=True, slots=True)
class CheckIn:
    """Ids of observations: yes/no questions about what happened `since` it felt right and about
    where it `shows`, and the `readings` that tell most of those taken in a few minutes. What is
    answered comes first in each of the two lists of ticks, then what is worth most. Readings go by
    the chance that a suspect they can confirm is there, per minute, as before any was taken: one
    that is given keeps its place. Each stands where it stands on other pages too, unless another
    has that place."""

    since: tuple[str, ...]
    shows: tuple[str, ...]
    readings: tuple[str, ...]

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing on the page."""
        return not (self.since or self.shows or self.readings)


def check_in(assessor: Assessor, case: Case) -> CheckIn:
    """What may still matter for the complaints of a case, by what each is worth less its cost."""
    assessment = assessor.assess(case)
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
        shows=ticks(lambda entry: bool(entry.phase), MOST_SHOWS),
        readings=_in_places(
            rules, [*kept(_by_suspects(_unread(assessor, assessment)), _is_reading)][:MOST_READINGS]
        ),
    )


def _unread(assessor: Assessor, assessment: Assessment) -> Assessment:
    """What is made of the case without the readings in it."""
    case = assessment.belief.case
    events = tuple(e for e in case.events if not (isinstance(e, Answered) and e.reading))
    return assessment if events == case.events else assessor.assess(replace(case, events=events))


def _in_places(rules: RuleBase, names: list[str]) -> tuple[str, ...]:
    """The readings of a page in the order of their boxes. The pack's readings are dealt out to the
    boxes in turn, so that those of one page seldom have the same one; the later then takes the
    first that is free."""
    all_of_pack = [name for name, entry in rules.observations.items() if _is_reading(entry)]
    dealt = {name: number % MOST_READINGS for number, name in enumerate(all_of_pack)}
    boxes: dict[int, str] = {}
    for name in sorted(names, key=all_of_pack.index):
        free = [box for box in range(len(names)) if box not in boxes]
        boxes[dealt[name] if dealt[name] in free else free[0]] = name
    return tuple(boxes[box] for box in sorted(boxes))


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
    return (
        entry.kind == "measurement"
        and entry.minutes <= MOST_MINUTES
        and not entry.opens
        and entry.enters is None
    )
