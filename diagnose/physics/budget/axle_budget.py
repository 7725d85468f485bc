"""The harshness budget: which fault makes how much of the excess, over which obstacle.

The end as measured is compared with the end as it should be, over every ride (a survey); the one
over which it is worst by feeling decides. Faults act together (a hard tyre
makes stiff damping worse), so each of eight factors gets its Shapley value: its average effect
over every order in which the faults could be put right. The shares add up to the whole excess
exactly. A factor that does not differ has no share, and is not simulated.

The band comes from drawing what nobody measured (:mod:`diagnose.physics.budget.unknowns`), the same
draw for the end as measured and as it should be.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, fields, replace

import numpy as np

from diagnose.physics.arrays import FloatArray
from diagnose.physics.budget.factors import Factor
from diagnose.physics.budget.shapley import shapley_values
from diagnose.physics.budget.unknowns import Unknowns, draw
from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.axle import Axle, Setup
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.harshness import felt_and_travel, harshness_of_lanes
from diagnose.physics.ride.lanes import SetupLanes, UnknownScales, build_lanes

__all__ = [
    "BAND",
    "FEWEST_DRAWS",
    "LEAST_TO_DIVIDE",
    "MOST_DRAWS",
    "SURVEY_DRAWS",
    "Budget",
    "Estimate",
    "FactorShare",
    "ObstacleBudget",
    "Survey",
    "axle_budget",
    "portions",
    "survey",
]

FEWEST_DRAWS, MOST_DRAWS = 8, 64
"""Draws for the band with all eight factors off, and with five or fewer. Our own choice, so that
the computing time stays about the same."""

SURVEY_DRAWS = 32
"""Draws for the band of the whole excess over every ride. Our own choice."""

BAND = (10.0, 90.0)
"""Percentiles of the draws that a band runs between: one in ten lies below, one in ten above."""


_FIELDS: dict[Factor, tuple[str, ...]] = {
    Factor.TYRE_PRESSURE: ("tyre_pressure",),
    Factor.LOW_SPEED_COMPRESSION: ("low_speed_compression",),
    Factor.HIGH_SPEED_COMPRESSION: ("high_speed_compression",),
    Factor.REBOUND: ("rebound",),
    Factor.FRICTION: ("friction", "clamp_friction"),
    Factor.TRAPPED_AIR: ("trapped_pressure",),
    Factor.OIL_LEVEL: ("oil_raised",),
    Factor.SPRING: ("spring_rate", "spring_preload"),
}


@dataclass(frozen=True, slots=True)
class FactorShare:
    """One factor's part of the excess over one obstacle.

    `factor`: which.
    `value`: its part (m/s²); negative where the fault makes the ride softer.
    `low`: lower end of the band (one in ten lies below).
    `high`: upper end of the band (one in ten lies above).
    """

    factor: Factor
    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class ObstacleBudget:
    """The budget over one obstacle, in m/s² throughout.

    `obstacle`: its name.
    `measured`: harshness of the end as measured.
    `target`: harshness of the end as it should be.
    `excess_low`: lower end of the band of the excess.
    `excess_high`: upper end of the band of the excess.
    `shares`: one for every factor, in the order of :class:`Factor`.
    `samples`: the same share in every draw, a row a factor, best guess first.
    `target_samples`: harshness of the end as it should be, in every draw.
    """

    obstacle: str
    measured: float
    target: float
    excess_low: float
    excess_high: float
    shares: tuple[FactorShare, ...]
    samples: FloatArray = field(repr=False, compare=False)
    target_samples: FloatArray = field(repr=False, compare=False)

    @property
    def excess(self) -> float:
        """Harshness too much (m/s²): the sum of the shares."""
        return self.measured - self.target

    def share(self, factor: Factor) -> FactorShare:
        """Return the share of `factor`."""
        return next(share for share in self.shares if share.factor is factor)

    def relative(self, factors: Sequence[Factor]) -> FloatArray:
        """Return what `factors` together add, as a share of the harshness as it should be, in
        every draw. Shares of different obstacles may be averaged; harshness may not."""
        rows = [list(Factor).index(factor) for factor in factors]
        part: FloatArray = self.samples[rows].sum(axis=0) / self.target_samples
        return part


@dataclass(frozen=True, slots=True)
class Estimate:
    """A share with its band.

    `middle`: best guess.
    `low`: lower end of the band (one draw in ten lies below).
    `high`: upper end of the band (one in ten lies above).
    """

    middle: float
    low: float
    high: float

    @staticmethod
    def of(draws: FloatArray) -> "Estimate":
        """The estimate behind draws of a share, best guess first."""
        low, high = np.percentile(draws, BAND)
        return Estimate(float(draws[0]), float(low), float(high))


LEAST_TO_DIVIDE = 0.01
"""Harshness added, as a share, below which a draw has nothing to divide. Our own choice: what steps
and seeds leave uncertain."""


def portions(
    obstacles: Sequence[ObstacleBudget], groups: Sequence[Sequence[Factor]]
) -> tuple[Estimate, ...] | None:
    """Return each group's share, from 0 to 1, of what makes the end harsher over all `obstacles`.

    The shares of the best guess add up to 1; a group that makes the end softer has none. Each
    obstacle counts alike.

    Returns an estimate a group, or None where no group makes the end harsher.

    Raises `PhysicsError` without an obstacle.

    Source: definition, over the Shapley values of each draw.
    """
    if not obstacles:
        raise PhysicsError("0 obstacles given; one or more are needed")
    harder = np.array(
        [
            np.maximum(np.mean([item.relative(group) for item in obstacles], axis=0), 0.0)
            for group in groups
        ]
    )
    whole = harder.sum(axis=0)
    if whole[0] < LEAST_TO_DIVIDE:
        return None
    some = whole >= LEAST_TO_DIVIDE
    return tuple(Estimate.of(row) for row in harder[:, some] / whole[some])


@dataclass(frozen=True, slots=True)
class Survey:
    """Harshness over every ride, as measured and as it should be, and how it compares.

    `names`: of the rides.
    `measured`, `target`: harshness (m/s²), row per ride and column per draw, best guess first.
    `bottomed`: the rides over which the best guess of it as measured uses all its travel, and as it
        should be does not: harshness that more compression or spring cures, not less.
    """

    names: tuple[str, ...]
    measured: FloatArray = field(repr=False, compare=False)
    target: FloatArray = field(repr=False, compare=False)
    bottomed: frozenset[str]

    def excess(self, name: str) -> FloatArray:
        """Return how much harsher it is over a ride, as a share, in every draw."""
        row = self.names.index(name)
        share: FloatArray = self.measured[row] / self.target[row] - 1.0
        return share

    @property
    def worst(self) -> str:
        """The ride over which the best guess is worst by feeling."""
        return self.names[int(np.argmax(self.measured[:, 0] / self.target[:, 0]))]


def survey(
    axle: Axle,
    measured: Setup,
    target: Setup,
    obstacles: Sequence[Obstacle],
    rng: np.random.Generator,
    *,
    unknowns: Unknowns | None = None,
    draws: int = SURVEY_DRAWS,
) -> Survey:
    """Return how one end compares over every obstacle; arguments as of :func:`axle_budget`.

    Raises `PhysicsError` as :func:`axle_budget`.

    Source: :func:`diagnose.physics.ride.harshness.felt_and_travel`.
    """
    scales = draw(unknowns or Unknowns(), draws, rng)
    both = (measured, replace(target, air_pressure=measured.air_pressure))
    lanes = build_lanes(
        axle, SetupLanes.of([one for one in both for _ in range(draws)]), scales.tiled(2)
    )
    felt, travel = felt_and_travel(lanes, axle.contact, obstacles)
    names = tuple(obstacle.name for obstacle in obstacles)
    bottomed = (
        name
        for name, used in zip(names, travel, strict=True)
        if used[0] >= axle.travel > used[draws]
    )
    return Survey(names, felt[:, :draws], felt[:, draws:], frozenset(bottomed))


@dataclass(frozen=True, slots=True)
class Budget:
    """The budget of one end over several obstacles."""

    obstacles: tuple[ObstacleBudget, ...]

    def over(self, name: str) -> ObstacleBudget:
        """Return the budget over the obstacle called `name`.

        Raises `PhysicsError` if there is none of that name.
        """
        for item in self.obstacles:
            if item.obstacle == name:
                return item
        known = ", ".join(item.obstacle for item in self.obstacles)
        raise PhysicsError(f"no obstacle called {name!r}; there are {known}")


def _differing(measured: Setup, target: Setup) -> list[Factor]:
    return [
        factor
        for factor, names in _FIELDS.items()
        if any(getattr(measured, name) != getattr(target, name) for name in names)
    ]


def _coalitions(
    measured: Setup, target: Setup, players: Sequence[Factor], scales: UnknownScales
) -> tuple[SetupLanes, UnknownScales]:
    """Every coalition of faults with every draw, coalition-major."""
    draws = scales.count
    numbers = np.arange(1 << len(players))
    columns = {
        item.name: np.full((numbers.size, draws), getattr(target, item.name), dtype=np.float64)
        for item in fields(Setup)
    }
    for bit, factor in enumerate(players):
        present = (numbers >> bit) & 1 == 1
        for name in _FIELDS[factor]:
            columns[name][present] = getattr(measured, name)
    setups = SetupLanes(**{name: column.ravel() for name, column in columns.items()})
    return setups, scales.tiled(numbers.size)


def axle_budget(
    axle: Axle,
    measured: Setup,
    target: Setup,
    obstacles: Sequence[Obstacle],
    rng: np.random.Generator,
    *,
    unknowns: Unknowns | None = None,
    draws: int | None = None,
) -> Budget:
    """Return the harshness budget of one end.

    `axle`: the hardware.
    `measured`: how it was found.
    `target`: how it should be. Its open-air pressure is not used: both are ridden where
        `measured` is.
    `obstacles`: what it is ridden over.
    `rng`: for the band.
    `unknowns`: spreads; left out means the defaults.
    `draws`: how many draws make the band, the best guess included; left out means as
        many as keep the computing time about the same however many factors differ.

    Raises `PhysicsError` for no obstacle, fewer than one draw, or a combination of settings that
    stands beyond the travel.

    Source: Shapley values over :func:`diagnose.physics.ride.harshness.harshness_of_lanes`.
    """
    if not obstacles:
        raise PhysicsError("0 obstacles given; one or more are needed")
    target = replace(target, air_pressure=measured.air_pressure)
    players = _differing(measured, target)
    if draws is None:
        draws = max(FEWEST_DRAWS, min(MOST_DRAWS, FEWEST_DRAWS << (len(Factor) - len(players))))
    scales = draw(unknowns or Unknowns(), draws, rng)
    setups, tiled = _coalitions(measured, target, players, scales)
    lanes = build_lanes(axle, setups, tiled)
    felt = harshness_of_lanes(lanes, axle.contact, obstacles)
    return Budget(
        tuple(
            _one(obstacle.name, row.reshape(-1, draws), players)
            for obstacle, row in zip(obstacles, felt, strict=True)
        )
    )


def _one(name: str, worth: FloatArray, players: Sequence[Factor]) -> ObstacleBudget:
    excess = worth[-1] - worth[0]
    values = shapley_values(worth) if players else np.zeros((0, worth.shape[1]))
    rows = dict(zip(players, values, strict=True))
    nothing = np.zeros(worth.shape[1])

    def share(factor: Factor) -> FactorShare:
        row = rows.get(factor, nothing)
        low, high = np.percentile(row, BAND)
        return FactorShare(factor, float(row[0]), float(low), float(high))

    low, high = np.percentile(excess, BAND)
    return ObstacleBudget(
        obstacle=name,
        measured=float(worth[-1, 0]),
        target=float(worth[0, 0]),
        excess_low=float(low),
        excess_high=float(high),
        shares=tuple(share(factor) for factor in Factor),
        samples=np.array([rows.get(factor, nothing) for factor in Factor]),
        target_samples=worth[0],
    )
