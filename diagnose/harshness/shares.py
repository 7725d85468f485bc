"""How much harsher one end is than it should be, what makes it so, and 'tyre or damping?' in words.

The ground and the draws of the unknowns come from a fixed seed, so the same values give the same
answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.harshness.compared_bike import HarshnessCase
from diagnose.harshness.values import End
from diagnose.physics.budget.axle_budget import (
    Budget,
    Estimate,
    ObstacleBudget,
    axle_budget,
    portions,
)
from diagnose.physics.budget.factors import Factor
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.harshness import harshness
from diagnose.physics.ride.obstacles import small_chop, square_edge, standard_obstacles

__all__ = [
    "GROUPS",
    "SEED",
    "EndAnswer",
    "Estimate",
    "answer_end",
    "band",
    "factor_label",
    "first_number",
    "group_shares",
    "live_budget",
    "obstacles_at",
    "tyre_or_damping",
    "whole_percent",
]

SEED = 8608
"""Seed of the rolling ground and the draws; the number has no meaning."""

_HARDLY_FELT = 0.02
"""Extra harshness, as a share, below which shares of it are not worth showing. Our own choice."""

GROUPS: dict[str, tuple[Factor, ...]] = {
    "the tyre": (Factor.TYRE_PRESSURE,),
    "damping": (
        Factor.LOW_SPEED_COMPRESSION,
        Factor.HIGH_SPEED_COMPRESSION,
        Factor.REBOUND,
    ),
    "friction": (Factor.FRICTION,),
    "trapped air": (Factor.TRAPPED_AIR,),
    "spring and sag": (Factor.SPRING,),
}
"""The groups that 'tyre or damping?' chooses between."""


@dataclass(frozen=True, slots=True)
class EndAnswer:
    """The budget of one end.

    `end`: which.
    `budget`: over every obstacle.
    `differing`: the factors that are not as they should be.
    `groups`: over all obstacles, the share of each of `GROUPS` in the extra harshness; None where
        that is too small to divide.
    `bottomed`: obstacles over which the end as measured uses all its travel.
    """

    end: End
    budget: Budget
    differing: tuple[Factor, ...]
    groups: dict[str, Estimate] | None
    bottomed: frozenset[str]

    def worse(self, obstacle: str) -> Estimate:
        """How much harsher the end is over `obstacle`, as a share. Raises `PhysicsError` for one
        that the budget does not cover."""
        return Estimate.of(self.budget.over(obstacle).relative(tuple(Factor)))

    def shares(self, obstacle: str) -> dict[Factor, Estimate] | None:
        """Each differing factor's share of the extra harshness over `obstacle`, or None where that
        is too small to divide."""
        over = self.budget.over(obstacle)
        parts = _portions([over], [(factor,) for factor in self.differing])
        return None if parts is None else dict(zip(self.differing, parts, strict=True))


def group_shares(obstacles: Sequence[ObstacleBudget]) -> dict[str, Estimate] | None:
    """The share of each of `GROUPS` in the extra harshness over all `obstacles`, or None where that
    is too small to divide."""
    parts = _portions(obstacles, list(GROUPS.values()))
    return None if parts is None else dict(zip(GROUPS, parts, strict=True))


def _portions(
    obstacles: Sequence[ObstacleBudget], groups: Sequence[Sequence[Factor]]
) -> tuple[Estimate, ...] | None:
    extra = np.mean([item.relative(tuple(Factor)) for item in obstacles], axis=0)
    return portions(obstacles, groups) if extra[0] >= _HARDLY_FELT else None


def obstacles_at(case: HarshnessCase, end: End) -> tuple[Obstacle, ...]:
    """The standard obstacles under the wheel of this end."""
    return standard_obstacles(case.axle(end).wheel_radius, np.random.default_rng(SEED))


def first_number(case: HarshnessCase, end: End) -> float:
    """How much harsher the end is over a square edge, as a share: best guess, quick to compute.

    Raises `PhysicsError` for settings that stand beyond the travel.
    """
    axle = case.axle(end)
    edge = square_edge(axle.wheel_radius)
    measured, target = case.setups(end)
    return harshness(axle, measured, edge).value / harshness(axle, target, edge).value - 1.0


def answer_end(case: HarshnessCase, end: End, draws: int | None = None) -> EndAnswer:
    """The budget of one end over the standard obstacles.

    Raises `PhysicsError` for settings that stand beyond the travel.
    """
    return _answer(case, end, obstacles_at(case, end), draws)


def live_budget(case: HarshnessCase, end: End, draws: int = 8) -> EndAnswer:
    """As :func:`answer_end`, over small chop and a square edge with few draws: fast enough to
    follow the keys. Its bands are rough; with one draw there are none."""
    radius = case.axle(end).wheel_radius
    return _answer(case, end, (small_chop(radius), square_edge(radius)), draws)


def _answer(
    case: HarshnessCase, end: End, obstacles: Sequence[Obstacle], draws: int | None
) -> EndAnswer:
    measured, target = case.setups(end)
    rng = np.random.default_rng(SEED)
    budget = axle_budget(case.axle(end), measured, target, obstacles, rng, draws=draws)
    differing = tuple(
        factor for factor, row in zip(Factor, budget.obstacles[0].samples, strict=True) if row.any()
    )
    bottomed = frozenset(
        obstacle.name
        for obstacle in obstacles
        if harshness(case.axle(end), measured, obstacle).bottomed
    )
    return EndAnswer(end, budget, differing, group_shares(budget.obstacles), bottomed)


def whole_percent(share: float) -> str:
    """A share in whole percent, never '-0'."""
    return f"{round(100 * share) or 0} %"


def band(share: Estimate) -> str:
    """A share with its band: `71 % (58 to 80)`."""
    low, high = (round(100 * value) or 0 for value in (share.low, share.high))
    return f"{whole_percent(share.middle)} ({low} to {high})"


def factor_label(factor: Factor, end: End) -> str:
    """What a technician calls the factor at this end."""
    if end is End.FRONT and factor is Factor.LOW_SPEED_COMPRESSION:
        return "compression"
    return {Factor.SPRING: "spring and sag"}.get(factor, factor.value)


def tyre_or_damping(case: HarshnessCase, answer: EndAnswer) -> str:
    """The answer to 'tyre or damping?' at this end, in one sentence."""
    if not case.any_measured(answer.end) and not answer.differing:
        return "nothing measured at this end, so nothing can be said."
    if answer.groups is None:
        return "neither: by what was measured it is hardly harsher than it should be."
    ranked = sorted(answer.groups.items(), key=lambda item: -item[1].middle)
    name, first = ranked[0]
    if len(answer.differing) == 1:
        return f"{name}, as nothing else measured here is other than it should be."
    rest = [(other, part) for other, part in ranked[1:] if abs(part.middle) >= 0.005]
    tail = "".join(f", {other} {band(part)}" for other, part in rest)
    shares = f"of the extra harshness {name} makes {band(first)}{tail}."
    if first.low >= 0.5:
        return f"{name}; {shares}"
    if first.middle >= 0.5:
        return f"more likely {name} than anything else; {shares}"
    return f"no one thing makes most of it; {shares}"
