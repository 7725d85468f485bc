"""What the harshness budget says in words and numbers: shares, tyre or damping, and what-ifs.

Every function takes a `HarshnessCase`. The ground and the draws of
the unknowns come from a fixed seed, so the same values give the same answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnose.harshness.inputs import End, HarshnessCase
from diagnose.physics.arrays import FloatArray
from diagnose.physics.budget.axle_budget import (
    BAND,
    Budget,
    Factor,
    ObstacleBudget,
    Portion,
    axle_budget,
    portions,
)
from diagnose.physics.budget.what_if import (
    Effect,
    bleed,
    change_high_speed_compression,
    change_low_speed_compression,
    change_rebound,
    change_spring,
    change_tyre_pressure,
    friction_to,
)
from diagnose.physics.budget.what_if import what_ifs as physics_what_ifs
from diagnose.physics.ride.axle import Setup
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.harshness import harshness, harshness_of_lanes
from diagnose.physics.ride.lanes import SetupLanes, UnknownScales, build_lanes
from diagnose.physics.ride.obstacles import small_chop, square_edge, standard_obstacles

__all__ = [
    "GROUPS",
    "HARDLY_FELT",
    "Curve",
    "EndAnswer",
    "WhatIf",
    "Worse",
    "answer_end",
    "curves",
    "factor_label",
    "first_number",
    "live_budget",
    "tyre_or_damping",
    "what_ifs",
]

_SEED = 8608
_PSI = 6_894.757

HARDLY_FELT = 0.02
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
"""What 'tyre or damping?' chooses between."""


@dataclass(frozen=True, slots=True)
class Worse:
    """How much harsher than it should be, as a share, with its band."""

    middle: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class EndAnswer:
    """The budget of one end.

    Attributes:
        end: which.
        budget: over every obstacle.
        differing: the factors that were found other than they should be.
        groups: over all obstacles, what each of `GROUPS` makes of the extra harshness; None where
            nothing makes the end plainly harsher.
        bottomed: obstacles over which the end as measured uses all its travel.
    """

    end: End
    budget: Budget
    differing: tuple[Factor, ...]
    groups: dict[str, Portion] | None
    bottomed: frozenset[str]

    def worse(self, obstacle: ObstacleBudget) -> Worse:
        """How much harsher the end is over `obstacle`."""
        extra = obstacle.relative(tuple(Factor))
        low, high = np.percentile(extra, BAND)
        return Worse(float(extra[0]), float(low), float(high))

    def shares(self, obstacle: ObstacleBudget) -> dict[Factor, Portion] | None:
        """What each differing factor makes of the extra harshness over `obstacle`, or None where
        there is none worth sharing out."""
        if self.worse(obstacle).middle < HARDLY_FELT:
            return None
        parts = portions([obstacle], [(factor,) for factor in self.differing])
        if parts is None:
            return None
        return dict(zip(self.differing, parts, strict=True))


def obstacles_at(case: HarshnessCase, end: End) -> tuple[Obstacle, ...]:
    return standard_obstacles(case.axle(end).wheel_radius, np.random.default_rng(_SEED))


def first_number(case: HarshnessCase, end: End) -> float:
    """How much harsher the end is over a square edge, as a share: best guess alone, at once.

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
    """As :func:`answer_end`, over small chop and a square edge with few draws: quick enough to
    follow an arrow key. Its bands are rough; with one draw there are none."""
    radius = case.axle(end).wheel_radius
    return _answer(case, end, (small_chop(radius), square_edge(radius)), draws)


def _answer(
    case: HarshnessCase, end: End, obstacles: Sequence[Obstacle], draws: int | None
) -> EndAnswer:
    measured, target = case.setups(end)
    rng = np.random.default_rng(_SEED)
    budget = axle_budget(case.axle(end), measured, target, obstacles, rng, draws=draws)
    extra = np.mean([item.relative(tuple(Factor)) for item in budget.obstacles], axis=0)
    parts = portions(budget.obstacles, list(GROUPS.values())) if extra[0] >= HARDLY_FELT else None
    differing = tuple(
        factor for factor, row in zip(Factor, budget.obstacles[0].samples, strict=True) if row.any()
    )
    groups = dict(zip(GROUPS, parts, strict=True)) if parts is not None else None
    bottomed = frozenset(
        obstacle.name
        for obstacle in obstacles
        if harshness(case.axle(end), measured, obstacle).bottomed
    )
    return EndAnswer(end, budget, differing, groups, bottomed)


def percent(share: float) -> str:
    """A share in whole percent, never '-0'."""
    return f"{round(100 * share) or 0} %"


def band(portion: Portion | Worse) -> str:
    """A share with its band: `71 % (58 to 80)`."""
    low, high = (round(100 * value) or 0 for value in (portion.low, portion.high))
    return f"{percent(portion.middle)} ({low} to {high})"


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


@dataclass(frozen=True, slots=True)
class WhatIf:
    """One change at one end, and what it does over each obstacle."""

    title: str
    effects: tuple[Effect, ...]

    def over(self, obstacle: str) -> Effect:
        """The effect over one obstacle. Raises `KeyError`."""
        for effect in self.effects:
            if effect.obstacle == obstacle:
                return effect
        raise KeyError(obstacle)


def what_ifs(case: HarshnessCase, end: End) -> tuple[WhatIf, ...]:
    """The changes worth thinking of at this end, each alone, then all together.

    Raises `PhysicsError` for settings that stand beyond the travel.
    """
    axle, obstacles = case.axle(end), obstacles_at(case, end)
    before, target = case.setups(end)

    titles, afters = zip(*_changes(before, target, end), strict=True)
    rng = np.random.default_rng(_SEED)
    effects = physics_what_ifs(axle, before, afters, obstacles, rng)
    return tuple(WhatIf(title, over) for title, over in zip(titles, effects, strict=True))


def _changes(before: Setup, target: Setup, end: End) -> list[tuple[str, Setup]]:
    changes: list[tuple[str, Setup]] = []
    if before.tyre_pressure >= 4 * _PSI:
        changes.append(("two psi out", change_tyre_pressure(before, -2 * _PSI)))
    if before.tyre_pressure != target.tyre_pressure:
        aim = target.tyre_pressure
        changes.append((f"tyre to {aim / _PSI:.3g} psi", replace(before, tyre_pressure=aim)))
    compression = "compression" if end is End.FRONT else "low-speed compression"
    changes.append((f"{compression} four clicks out", change_low_speed_compression(before, 4.0)))
    if end is End.REAR:
        half_out = change_high_speed_compression(before, 0.5)
        changes.append(("high-speed half a turn out", half_out))
    changes.append(("rebound four clicks out", change_rebound(before, 4.0)))
    if before.friction > target.friction:
        title = "clamps to spec, friction as standard"
        if end is End.REAR:
            title = "pivots freed, friction as standard"
        changes.append((title, friction_to(before, target.friction)))
    if before.trapped_pressure != 0.0:
        changes.append(("bled", bleed(before)))
    spring = (target.spring_rate, target.spring_preload)
    if (before.spring_rate, before.spring_preload) != spring:
        changes.append(("spring and sag as they should be", change_spring(before, *spring)))
    if before != replace(target, air_pressure=before.air_pressure):
        changes.append(("all as it should be", target))
    return changes


@dataclass(frozen=True, slots=True)
class Curve:
    """Harshness against one setting, the others as measured.

    Attributes:
        title: what is turned.
        unit: of `values`.
        values: the settings.
        now: the setting as measured.
        harshness: by obstacle, percent of the harshness as it should be, one number a setting.
    """

    title: str
    unit: str
    values: tuple[float, ...]
    now: float
    harshness: dict[str, tuple[float, ...]]


def curves(case: HarshnessCase, end: End) -> tuple[Curve, ...]:
    """Harshness over tyre pressure and over compression clicks, over chop and a square edge.

    Best guess alone. Raises `PhysicsError` for settings that stand beyond the travel.
    """
    measured, target = case.setups(end)
    now_psi, now_clicks = measured.tyre_pressure / _PSI, measured.low_speed_compression
    pressures = np.linspace(min(8.0, now_psi), max(30.0, now_psi), 23)
    clicks = np.arange(0.0, max(24.0, now_clicks) + 1.0, dtype=np.float64)
    turned = "compression" if end is End.FRONT else "low-speed compression"
    return (
        _curve(
            case, end, "tyre pressure", "psi", pressures, now_psi,
            [replace(measured, tyre_pressure=psi * _PSI) for psi in pressures], target,
        ),
        _curve(
            case, end, turned, "clicks", clicks, now_clicks,
            [replace(measured, low_speed_compression=out) for out in clicks], target,
        ),
    )  # fmt: skip


def _curve(
    case: HarshnessCase, end: End, title: str, unit: str, values: FloatArray, now: float,
    setups: Sequence[Setup], target: Setup,
) -> Curve:  # fmt: skip
    axle = case.axle(end)
    target = replace(target, air_pressure=setups[0].air_pressure)
    lanes = build_lanes(axle, SetupLanes.of([*setups, target]), UnknownScales.ones(len(setups) + 1))
    lines = {}
    for obstacle in (small_chop(axle.wheel_radius), square_edge(axle.wheel_radius)):
        felt = harshness_of_lanes(lanes, axle.contact, obstacle)
        lines[obstacle.name] = tuple(float(100.0 * value) for value in felt[:-1] / felt[-1])
    return Curve(title, unit, tuple(float(value) for value in values), float(now), lines)
