"""What one more fact did to the ranking."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.inference.posterior import Ranking


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


def shifts(before: Ranking, after: Ranking) -> tuple[Shift, ...]:
    """The move of every cause that either ranking holds, largest first, ties by id.

    A cause that one of them rules out as not applicable counts as 0 there.
    """
    old = {item.cause: item.probability for item in before.causes}
    new = {item.cause: item.probability for item in after.causes}
    moves = [Shift(cause, old.get(cause, 0.0), new.get(cause, 0.0)) for cause in {**old, **new}]
    return tuple(sorted(moves, key=lambda move: (-abs(move.by), move.cause)))
