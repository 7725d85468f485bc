"""What the harshness screen has worked out: at once and roughly, then as the command says it.

Both ways give the same best guess over one obstacle; only the ranges differ. Nothing here draws,
and everything may run in any thread.
"""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass

import numpy as np
import uniplot  # noqa: F401  # the chart needs it; loaded with this module, off the screen's thread

from diagnose.harshness.answers import (
    GROUPS,
    HARDLY_FELT,
    Curve,
    EndAnswer,
    answer_end,
    live_budget,
    obstacles_at,
    tyre_or_damping,
)
from diagnose.harshness.inputs import VALUES, End, HarshnessCase, Known, build_case, questions
from diagnose.physics.arrays import FloatArray
from diagnose.physics.budget.axle_budget import Budget, ObstacleBudget, portions
from diagnose.physics.ride.axle import Setup
from diagnose.physics.ride.harshness import harshness_of_lanes
from diagnose.physics.ride.lanes import SetupLanes, UnknownScales, build_lanes
from rules.problems import BadInput
from rules.units.quantities import Quantity
from tui.harshness.harsh_lines import in_unit
from tui.harshness.values import label

OBSTACLES = ("small chop", "square edge", "braking bumps", "landing", "rolling ground")
_AT_ONCE = frozenset({"small chop", "square edge"})
_FEW_DRAWS = 4
_REMEMBERED = 64
# where the command's own curves run from and to, so that both show the same
_SPANS = {"psi": (8.0, 30.0, 23), "clicks": (0.0, 24.0, 25)}

_Key = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be worked out: `value` is the one whose curve is wanted."""

    known: Known
    end: End
    obstacle: str
    value: str

    @property
    def key(self) -> _Key:
        """What the budget hangs on."""
        given = (self.known.measured, self.known.targets)
        return (self.end, *(tuple(sorted(part.items(), key=lambda i: i[0])) for part in given))


@dataclass(frozen=True, slots=True)
class Told:
    """What came of it.

    Attributes:
        asked: the question.
        case: the bike as it was compared.
        answer: the budget over the obstacle asked about, alone.
        over: that obstacle.
        overall: the answer over all obstacles, as the command gives it; None while `rough`.
        curve: harshness over the value asked about.
        rough: whether the ranges are rough yet.
    """

    asked: Asked
    case: HarshnessCase
    answer: EndAnswer
    over: ObstacleBudget
    overall: str | None
    curve: Curve
    rough: bool

    @property
    def any_measured(self) -> bool:
        """Whether there is anything to say at all."""
        return self.case.any_measured(self.asked.end)

    @property
    def sentence(self) -> str:
        """Tyre or damping, over the obstacle asked about."""
        return tyre_or_damping(self.case, self.answer)

    @property
    def checks(self) -> tuple[str, ...]:
        """What should be looked at before the answer is believed."""
        here = {n: q for n, q in self.asked.known.measured.items() if _is_at(n, self.asked.end)}
        found = list(questions(Known(here)))
        if self.over.obstacle in self.answer.bottomed:
            found.append(
                "all of the travel is used: that is bottoming, which more compression or spring "
                "cures, not less."
            )
        return tuple(found)


class Reckoner:
    """Works out budgets, and remembers the last few dozen."""

    def __init__(self) -> None:
        self._full: OrderedDict[_Key, EndAnswer] = OrderedDict()

    def quick(self, asked: Asked) -> Told:
        """The best guess with rough ranges, unless more is known already. Raises `BadInput`."""
        case = build_case(asked.known)
        known = self._full.get(asked.key)
        if known is not None:
            return _told(asked, case, known, rough=False)
        if asked.obstacle in _AT_ONCE:
            return _told(asked, case, live_budget(case, asked.end), rough=True)
        return _told(asked, case, answer_end(case, asked.end, _FEW_DRAWS), rough=True)

    def thorough(self, asked: Asked) -> Told:
        """All that the command says of it. Raises `BadInput`."""
        case = build_case(asked.known)
        answer = self._full.get(asked.key)
        if answer is None:
            answer = self._full[asked.key] = answer_end(case, asked.end)
            if len(self._full) > _REMEMBERED:
                self._full.popitem(last=False)
        return _told(asked, case, answer, rough=False)


def _is_at(name: str, end: End) -> bool:
    return name in VALUES and VALUES[name].end is end


def _told(asked: Asked, case: HarshnessCase, answer: EndAnswer, *, rough: bool) -> Told:
    over = answer.budget.over(asked.obstacle)
    parts = None
    if answer.worse(over).middle >= HARDLY_FELT:
        parts = portions([over], list(GROUPS.values()))
    alone = EndAnswer(
        end=answer.end,
        budget=Budget((over,)),
        differing=answer.differing,
        groups=None if parts is None else dict(zip(GROUPS, parts, strict=True)),
        bottomed=answer.bottomed,
    )
    overall = None if rough else tyre_or_damping(case, answer)
    return Told(asked, case, alone, over, overall, curve_over(asked, case), rough)


def curve_over(asked: Asked, case: HarshnessCase) -> Curve:
    """Harshness over the value asked about, everything else as measured. Best guess alone, in the
    unit of what it should be.

    Settings that cannot be are left out. Raises `BadInput` where nothing is left.
    """
    value = VALUES[asked.value]
    used = next(item for item in case.used if item.value.name == asked.value)
    now = (used.measured or used.target).to(value.unit).value
    sizes, setups = [], []
    for size in _sizes(value.unit, value.usual, now):
        setup = _with(asked, Quantity(float(size), value.unit))
        if setup is not None:
            sizes.append(float(size))
            setups.append(setup)
    axle = case.axle(asked.end)
    target = case.setups(asked.end)[1]
    lanes = build_lanes(axle, SetupLanes.of([*setups, target]), UnknownScales.ones(len(setups) + 1))
    obstacle = next(o for o in obstacles_at(case, asked.end) if o.name == asked.obstacle)
    felt = harshness_of_lanes(lanes, axle.contact, obstacle)
    line = tuple(float(100.0 * item) for item in felt[:-1] / felt[-1])
    title = label(asked.value).lower()
    curve = Curve(title, value.unit, tuple(sizes), now, {obstacle.name: line})
    return in_unit(curve, used.target.unit)


def _sizes(unit: str, usual: tuple[float, float], now: float) -> FloatArray:
    low, high, count = _SPANS.get(unit, (*usual, 25))
    if unit == "clicks":
        return np.arange(low, max(high, now) + 1.0, dtype=np.float64)
    return np.linspace(min(low, now), max(high, now), count)


def _with(asked: Asked, size: Quantity) -> Setup | None:
    """The end with the value asked about at `size`; None where that cannot be."""
    measured = {**asked.known.measured, asked.value: size}
    try:
        return build_case(Known(measured, asked.known.targets)).setups(asked.end)[0]
    except BadInput:
        return None
