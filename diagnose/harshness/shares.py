"""What the harshness budget says of one end: how harsh, over which ride, and who makes how much.

The verdict is that of the worst ride in felt steps: a mean over rides hides a fault that shows on
one of them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from diagnose.harshness.compared_bike import HarshnessCase
from diagnose.harshness.senses import Rim, Sense, rim_of, senses_of
from diagnose.harshness.values import End
from diagnose.physics.budget.axle_budget import (
    SURVEY_DRAWS,
    Estimate,
    ObstacleBudget,
    Survey,
    axle_budget,
    portions,
    survey,
)
from diagnose.physics.budget.factors import Factor
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.harshness import felt_steps
from diagnose.physics.ride.obstacles import few_obstacles, standard_obstacles

__all__ = [
    "GROUPS",
    "SEED",
    "EndAnswer",
    "Estimate",
    "Part",
    "answer_end",
    "evidence_shares",
    "first_number",
    "obstacles_at",
    "surveyed",
]

SEED = 8608
"""Seed of the random ground and the draws; the number has no meaning."""

NOISE = 0.02
"""Extra harshness, as a share, below which nothing is shared out: twice what the time step leaves
uncertain (computed)."""

PERHAPS = 1.0
"""Felt steps from which a rider may notice. Our own choice."""

FELT, PLAIN = 1.5, 2.0
"""Felt steps from which it is felt, and plainly felt. Our own choice: 15 and 21 %, since riders on
random ground tell 15 % apart."""

GROUPS: dict[str, tuple[Factor, ...]] = {
    "the tyre": (Factor.TYRE_PRESSURE,),
    "damping": (
        Factor.LOW_SPEED_COMPRESSION,
        Factor.HIGH_SPEED_COMPRESSION,
        Factor.REBOUND,
    ),
    "friction": (Factor.FRICTION,),
    "trapped air": (Factor.TRAPPED_AIR,),
    "oil level": (Factor.OIL_LEVEL,),
    "spring and sag": (Factor.SPRING,),
}
"""The groups that 'tyre or damping?' chooses between."""


@dataclass(frozen=True, slots=True)
class Part:
    """What one factor does over a ride.

    `effect`: what it adds, as a share of the harshness as it should be; below 0 it softens.
    `share`: its share (0 to 1) of what makes the end harsher; None where it softens.
    """

    effect: Estimate
    share: Estimate | None


@dataclass(frozen=True, slots=True)
class EndAnswer:
    """What is said of one end.

    `end`: which.
    `survey`: every ride.
    `over`: the ride that the shares are of.
    `budget`: over that ride.
    `differing`: the factors that are not as they should be.
    `senses`: what is felt besides vibration.
    `rim`: the edge at which the rim is met.
    `rides`: the budget of every ride, best guess only; empty where only a quick answer was wanted.
    `elsewhere`: where more than one thing is off, the ride next to the worst over which another
        group of `GROUPS` leads, and which, by best guess; None where none is felt.
    """

    end: End
    survey: Survey
    over: str
    budget: ObstacleBudget
    differing: tuple[Factor, ...]
    senses: tuple[Sense, ...]
    rim: Rim
    rides: tuple[ObstacleBudget, ...] = ()
    elsewhere: tuple[str, str] | None = None

    @property
    def worst(self) -> str:
        """The ride over which it is worst by feeling."""
        return self.survey.worst

    def worse(self, ride: str) -> Estimate:
        """How much harsher the end is over `ride`, as a share. Raises `ValueError` for another."""
        return Estimate.of(self.survey.excess(ride))

    def steps(self, ride: str) -> Estimate:
        """The same in felt steps."""
        return Estimate.of(felt_steps(1.0 + self.survey.excess(ride)))

    def is_above_noise(self, ride: str) -> bool:
        """Whether it is harsher over `ride` by more than can come of noise."""
        extra = self.worse(ride)
        return extra.middle >= NOISE and extra.low > 0.0

    @property
    def parts(self) -> dict[Factor, Part] | None:
        """What each differing factor does over `over`; None where nothing is above noise there."""
        if not self.is_above_noise(self.over):
            return None
        shares = portions([self.budget], [(factor,) for factor in self.differing])
        if shares is None:
            return None
        effects = [Estimate.of(self.budget.relative([factor])) for factor in self.differing]
        return {
            factor: Part(effect, share if effect.middle > 0.0 else None)
            for factor, effect, share in zip(self.differing, effects, shares, strict=True)
        }

    @property
    def groups(self) -> dict[str, Estimate] | None:
        """The share of each of `GROUPS` over `over`; None as `parts`."""
        return _group_shares([self.budget]) if self.is_above_noise(self.over) else None

    def divided(self, ride: str) -> dict[str, float] | None:
        """Each of `GROUPS`' share (0 to 1) of what makes it harsher over `ride`, best guess; None
        where that was not worked out, or nothing is above noise."""
        found = [item for item in self.rides if item.obstacle == ride]
        shares = _group_shares(found) if found and self.is_above_noise(ride) else None
        return None if shares is None else {name: part.middle for name, part in shares.items()}

    @property
    def felt_otherwise(self) -> tuple[Sense, ...]:
        """What is felt besides vibration, firmer or higher than it should be, band and all."""
        return tuple(
            sense
            for sense in self.senses
            if sense.steps is not None and sense.steps.middle >= PERHAPS and sense.steps.low > 0.0
        )


def _group_shares(obstacles: Sequence[ObstacleBudget]) -> dict[str, Estimate] | None:
    parts = portions(obstacles, list(GROUPS.values()))
    return None if parts is None else dict(zip(GROUPS, parts, strict=True))


def obstacles_at(case: HarshnessCase, end: End) -> tuple[Obstacle, ...]:
    """The rides under the wheel of this end."""
    return _rides(case.axle(end).wheel_radius)


@cache
def _rides(wheel_radius: float) -> tuple[Obstacle, ...]:
    return standard_obstacles(wheel_radius, np.random.default_rng(SEED))


def first_number(case: HarshnessCase, end: End) -> tuple[str, float]:
    """The worst ride, and how much harsher the end is there, as a share: best guess, at once.

    Raises `PhysicsError` for settings that stand beyond the travel.
    """
    found = surveyed(case, end, quick=True)
    return found.worst, float(found.excess(found.worst)[0])


def _go_on() -> None:
    """The answer is wanted still."""


def answer_end(
    case: HarshnessCase,
    end: End,
    over: str | None = None,
    *,
    quick: bool = False,
    found: Survey | None = None,
    go_on: Callable[[], None] = _go_on,
) -> EndAnswer:
    """The answer for one end, its shares over the ride called `over` or else the worst.

    `quick`: best guess only, without bands.
    `found`: every ride, where that was worked out before.
    `go_on`: called between parts of the work; what it raises ends it.

    Raises `PhysicsError` for settings that stand beyond the travel.
    """
    obstacles = obstacles_at(case, end)
    measured, target = case.setups(end)
    found = found or surveyed(case, end, quick=quick)
    go_on()
    ride = over or found.worst
    under = [obstacle for obstacle in obstacles if obstacle.name == ride]
    rng = np.random.default_rng(SEED)
    draws = 1 if quick else None
    budget = axle_budget(case.axle(end), measured, target, under, rng, draws=draws).obstacles[0]
    differing = tuple(
        factor for factor, row in zip(Factor, budget.samples, strict=True) if row.any()
    )
    go_on()
    senses = senses_of(case, end)
    go_on()
    answer = EndAnswer(end, found, ride, budget, differing, senses, rim_of(case, end))
    go_on()
    if quick:
        return answer
    rides = axle_budget(case.axle(end), measured, target, obstacles, rng, draws=1).obstacles
    answer = replace(answer, rides=rides)
    if len(differing) < 2 or over is not None:
        return answer
    return replace(answer, elsewhere=_elsewhere(answer))


def _elsewhere(answer: EndAnswer) -> tuple[str, str] | None:
    felt = [
        ride
        for ride in answer.survey.names
        if ride != answer.worst and answer.steps(ride).middle >= PERHAPS
    ]
    here = answer.divided(answer.worst)
    if here is None:
        return None
    for ride in sorted(felt, key=lambda ride: -answer.steps(ride).middle):
        there = answer.divided(ride)
        if there is not None and _first(there) != _first(here):
            return ride, _first(there)
    return None


def _first(shares: Mapping[str, float]) -> str:
    return max(shares, key=lambda name: shares[name])


def surveyed(case: HarshnessCase, end: End, *, quick: bool = False) -> Survey:
    """Every ride, with bands unless `quick`.

    Raises `PhysicsError` for settings that stand beyond the travel.
    """
    measured, target = case.setups(end)
    rng, draws = np.random.default_rng(SEED), 1 if quick else SURVEY_DRAWS
    return survey(case.axle(end), measured, target, obstacles_at(case, end), rng, draws=draws)


def evidence_shares(case: HarshnessCase, end: End) -> dict[str, float] | None:
    """Each group's share of the extra harshness over three short rides, best guess: smooth ground,
    small chop and a square edge. None where there is none.

    Raises `PhysicsError` for settings that stand beyond the travel.
    """
    measured, target = case.setups(end)
    axle, rng = case.axle(end), np.random.default_rng(SEED)
    rides = few_obstacles(axle.wheel_radius, rng)
    budget = axle_budget(axle, measured, target, rides, rng, draws=1)
    extra = np.mean([item.relative(tuple(Factor)) for item in budget.obstacles])
    shares = _group_shares(budget.obstacles) if extra >= NOISE else None
    return None if shares is None else {name: part.middle for name, part in shares.items()}
