"""What one more fact did to the causes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.case.events import Answered, Case, Complained, Event, Rode
from diagnose.inference.posterior import Model, Ranking


@dataclass(frozen=True, slots=True)
class Shift:
    """The probability of one cause before and after."""

    cause: str
    before: float
    after: float

    @property
    def by(self) -> float:
        """How much it rose; negative for a fall."""
        return self.after - self.before


def moves_by_event(model: Model, case: Case) -> list[tuple[Event, tuple[Shift, ...]]]:
    """What each complaint, known answer and ride did to the causes that matter after it, furthest
    first. Raises as `Model.believe` does."""
    found: list[tuple[Event, tuple[Shift, ...]]] = []
    before = model.believe(Case(case.machine, case.targets))
    for end, event in enumerate(case.events, 1):
        after = model.believe(Case(case.machine, case.targets, case.events[:end]))
        if isinstance(event, Complained | Rode) or (isinstance(event, Answered) and event.is_known):
            moved = [
                Shift(cause, float(before.marginal[index]), float(after.marginal[index]))
                for index, cause in enumerate(model.network.causes)
                if after.matters[index]
            ]
            found.append((event, _furthest_first(moved)))
        before = after
    return found


def shifts(before: Ranking, after: Ranking) -> tuple[Shift, ...]:
    """The move of every cause that either ranking holds, largest first, ties by id.

    A cause that one of them rules out as not applicable counts as 0 there.
    """
    old = {item.cause: item.probability for item in before.causes}
    new = {item.cause: item.probability for item in after.causes}
    moves = [Shift(cause, old.get(cause, 0.0), new.get(cause, 0.0)) for cause in {**old, **new}]
    return _furthest_first(moves)


def _furthest_first(moves: Iterable[Shift]) -> tuple[Shift, ...]:
    return tuple(sorted(moves, key=lambda move: (-abs(move.by), move.cause)))
