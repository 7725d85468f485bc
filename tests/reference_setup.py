"""How the stand-in bike is set in the tests of the physics."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.harshness.stand_in import StandInEnd, stand_in
from diagnose.physics.ride.axle import Axle, Setup


@dataclass(frozen=True, slots=True)
class Axles:
    front: Axle
    rear: Axle


@dataclass(frozen=True, slots=True)
class Setups:
    front: Setup
    rear: Setup


def reference_bike() -> Axles:
    bike = stand_in()
    return Axles(bike.front.axle, bike.rear.axle)


def reference_setup() -> Setups:
    """12.5 psi front, 13.5 psi rear, bled; friction as a 10 mm band in averaged sag means it."""
    bike = stand_in()
    return Setups(_setup(bike.front, 86_200.0, 60.0), _setup(bike.rear, 93_100.0, 45.0))


def _setup(end: StandInEnd, pressure: float, friction: float) -> Setup:
    return Setup(
        tyre_pressure=pressure,
        low_speed_compression=10.0,
        high_speed_compression=1.75,
        rebound=12.0,
        friction=friction,
        trapped_pressure=0.0,
        spring_rate=end.spring_rate,
        spring_preload=end.spring_preload,
    )
