"""A harshness budget that follows the keys: a rough one at once, then the full one of the command.

Both give the same best guess; only the full one has ranges. Everything here may run in any thread.
Work on a question that is no longer asked is dropped between two of its parts.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, replace

from diagnose.harshness.compared_bike import HarshnessCase, build_case
from diagnose.harshness.curves import Curve, curve_over
from diagnose.harshness.said import bottoming, caution, tyre_or_damping
from diagnose.harshness.shares import EndAnswer, answer_end, obstacles_at, surveyed
from diagnose.harshness.values import VALUES, End, KnownValues, questions
from diagnose.physics.budget.axle_budget import Survey

__all__ = ["RIDES", "Asked", "LiveAnswer", "LiveBudget", "Superseded"]

RIDES = (
    "smooth ground", "worn ground", "rough ground", "small chop", "exit chop", "exit rollers",
    "entry chop", "braking bumps", "stones", "square edge", "high edge", "landing",
)  # fmt: skip
"""The names of the rides."""

_REMEMBERED = 64

_Key = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """What to compute: the budget over `ride`, None for the worst, and the curve of `value`."""

    known: KnownValues
    end: End
    ride: str | None
    value: str

    @property
    def key(self) -> _Key:
        """What the budget depends on."""
        given = (self.known.measured, self.known.targets)
        parts = (tuple(sorted(part.items(), key=lambda i: i[0])) for part in given)
        return (self.end, self.ride, self.known.kind, *parts)


@dataclass(frozen=True, slots=True)
class LiveAnswer:
    """A budget as a screen shows it.

    `asked`: the question.
    `case`: the bike as it was compared.
    `answer`: the answer for the end asked about.
    `curve`: harshness over the value asked about.
    `rough`: whether it is a best guess still without ranges.
    """

    asked: Asked
    case: HarshnessCase
    answer: EndAnswer
    curve: Curve
    rough: bool

    @property
    def any_measured(self) -> bool:
        """Whether anything was measured at this end."""
        return self.case.any_measured(self.asked.end)

    @property
    def sentence(self) -> str:
        """Tyre or damping, over the ride asked about."""
        return tyre_or_damping(self.case, self.answer)

    @property
    def caution(self) -> str | None:
        """What to see to before riding."""
        return caution(self.case, self.answer)

    @property
    def checks(self) -> tuple[str, ...]:
        """What should be checked before the answer is believed."""
        here = {n: q for n, q in self.asked.known.measured.items() if _is_at(n, self.asked.end)}
        return (*questions(replace(self.asked.known, measured=here)), *bottoming(self.answer))


class Superseded(Exception):  # no error: another question is asked by now
    """The question is no longer asked."""


def _always() -> bool:
    return True


class LiveBudget:
    """Computes budgets, and remembers the last 64 full ones."""

    def __init__(self) -> None:
        self._full: OrderedDict[_Key, EndAnswer] = OrderedDict()
        self._found: tuple[_Key, Survey] | None = None

    def first(self, asked: Asked) -> tuple[str, float]:
        """The ride asked about or else the worst, and how much harsher it is: a best guess that
        :meth:`quick` goes on from. Raises `BadInput`."""
        known = self._full.get(asked.key)
        if known is None:
            found = surveyed(build_case(asked.known), asked.end, quick=True)
            self._found = asked.key, found
        else:
            found = known.survey
        ride = asked.ride or found.worst
        return ride, float(found.excess(ride)[0])

    def quick(self, asked: Asked, wanted: Callable[[], bool] = _always) -> LiveAnswer:
        """The full answer if it is remembered, else the best guess. Raises `BadInput`, and
        `Superseded` once it is not `wanted`."""
        case = build_case(asked.known)
        known, before = self._full.get(asked.key), self._found
        found = before[1] if before is not None and before[0] == asked.key else None
        go_on = _check(wanted)
        answer = known or answer_end(
            case, asked.end, asked.ride, quick=True, found=found, go_on=go_on
        )
        go_on()
        return _told(asked, case, answer, rough=known is None)

    def thorough(self, asked: Asked, wanted: Callable[[], bool] = _always) -> LiveAnswer:
        """The full answer, as the command gives it. Raises as :meth:`quick`."""
        case = build_case(asked.known)
        answer, go_on = self._full.get(asked.key), _check(wanted)
        if answer is None:
            answer = answer_end(case, asked.end, asked.ride, go_on=go_on)
            self._full[asked.key] = answer
            if len(self._full) > _REMEMBERED:
                self._full.popitem(last=False)
        go_on()
        return _told(asked, case, answer, rough=False)


def _check(wanted: Callable[[], bool]) -> Callable[[], None]:
    def go_on() -> None:
        if not wanted():
            raise Superseded

    return go_on


def _is_at(name: str, end: End) -> bool:
    return name in VALUES and VALUES[name].end is end


def _told(asked: Asked, case: HarshnessCase, answer: EndAnswer, *, rough: bool) -> LiveAnswer:
    return LiveAnswer(asked, case, answer, _curve(asked, case, answer.over), rough)


def _curve(asked: Asked, case: HarshnessCase, ride: str) -> Curve:
    """Harshness over the value asked about, in the unit of what it should be."""
    ground = [item for item in obstacles_at(case, asked.end) if item.name == ride]
    unit = case.used_value(asked.value).target.unit
    return curve_over(case, asked.value, ground).in_unit(unit)
