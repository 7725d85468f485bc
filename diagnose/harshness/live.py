"""A harshness budget that follows the keys: a rough one at once, then the full one of the command.

Both give the same best guess over one obstacle; only the ranges differ. Everything here may
run in any thread.
"""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass, replace

from diagnose.harshness.compared_bike import HarshnessCase, build_case
from diagnose.harshness.curves import Curve, curve_over
from diagnose.harshness.shares import (
    EndAnswer,
    answer_end,
    group_shares,
    live_budget,
    obstacles_at,
    tyre_or_damping,
)
from diagnose.harshness.values import VALUES, End, KnownValues, questions
from diagnose.physics.budget.axle_budget import Budget, Estimate
from diagnose.physics.budget.factors import Factor

__all__ = ["OBSTACLES", "Asked", "LiveAnswer", "LiveBudget"]

OBSTACLES = ("small chop", "square edge", "braking bumps", "landing", "rolling ground")
"""The names of the standard obstacles."""

_AT_ONCE = frozenset({"small chop", "square edge"})
_FEW_DRAWS = 4
_REMEMBERED = 64

_Key = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """What to compute: the budget over `obstacle`, and the curve of the value named `value`."""

    known: KnownValues
    end: End
    obstacle: str
    value: str

    @property
    def key(self) -> _Key:
        """What the budget depends on."""
        given = (self.known.measured, self.known.targets)
        return (self.end, *(tuple(sorted(part.items(), key=lambda i: i[0])) for part in given))


@dataclass(frozen=True, slots=True)
class LiveAnswer:
    """A budget as a screen shows it.

    `asked`: the question.
    `case`: the bike as it was compared.
    `answer`: the budget over the obstacle asked about, alone.
    `overall`: the answer over all obstacles, as the command gives it; None while `rough`.
    `curve`: harshness over the value asked about.
    `rough`: whether the ranges are still rough.
    """

    asked: Asked
    case: HarshnessCase
    answer: EndAnswer
    overall: str | None
    curve: Curve
    rough: bool

    @property
    def any_measured(self) -> bool:
        """Whether anything was measured at this end."""
        return self.case.any_measured(self.asked.end)

    @property
    def worse(self) -> Estimate:
        """How much harsher the end is over the obstacle asked about, as a share."""
        return self.answer.worse(self.asked.obstacle)

    @property
    def shares(self) -> dict[Factor, Estimate] | None:
        """Each factor's share of that; None where it is too small to divide."""
        return self.answer.shares(self.asked.obstacle)

    @property
    def sentence(self) -> str:
        """Tyre or damping, over the obstacle asked about."""
        return tyre_or_damping(self.case, self.answer)

    @property
    def checks(self) -> tuple[str, ...]:
        """What should be checked before the answer is believed."""
        here = {n: q for n, q in self.asked.known.measured.items() if _is_at(n, self.asked.end)}
        found = list(questions(KnownValues(here)))
        if self.asked.obstacle in self.answer.bottomed:
            found.append(
                "all of the travel is used: that is bottoming, which more compression or spring "
                "cures, not less."
            )
        return tuple(found)


class LiveBudget:
    """Computes budgets, and remembers the last 64 full ones."""

    def __init__(self) -> None:
        self._full: OrderedDict[_Key, EndAnswer] = OrderedDict()

    def quick(self, asked: Asked) -> LiveAnswer:
        """The full answer if it is remembered, else one with rough ranges. Raises `BadInput`."""
        case = build_case(asked.known)
        known = self._full.get(asked.key)
        if known is not None:
            return _told(asked, case, known, rough=False)
        if asked.obstacle in _AT_ONCE:
            return _told(asked, case, live_budget(case, asked.end), rough=True)
        return _told(asked, case, answer_end(case, asked.end, _FEW_DRAWS), rough=True)

    def thorough(self, asked: Asked) -> LiveAnswer:
        """The full answer, as the command gives it. Raises `BadInput`."""
        case = build_case(asked.known)
        answer = self._full.get(asked.key)
        if answer is None:
            answer = self._full[asked.key] = answer_end(case, asked.end)
            if len(self._full) > _REMEMBERED:
                self._full.popitem(last=False)
        return _told(asked, case, answer, rough=False)


def _is_at(name: str, end: End) -> bool:
    return name in VALUES and VALUES[name].end is end


def _told(asked: Asked, case: HarshnessCase, answer: EndAnswer, *, rough: bool) -> LiveAnswer:
    over = answer.budget.over(asked.obstacle)
    alone = replace(answer, budget=Budget((over,)), groups=group_shares([over]))
    overall = None if rough else tyre_or_damping(case, answer)
    return LiveAnswer(asked, case, alone, overall, _curve(asked, case), rough)


def _curve(asked: Asked, case: HarshnessCase) -> Curve:
    """Harshness over the value asked about, in the unit of what it should be."""
    ground = [item for item in obstacles_at(case, asked.end) if item.name == asked.obstacle]
    unit = case.used_value(asked.value).target.unit
    return curve_over(case, asked.value, ground).in_unit(unit)
