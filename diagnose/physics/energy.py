"""Energy balance of a simulated run: what the road puts in must be stored or turned to heat.

Source: the work-energy theorem (computed).
"""

from dataclasses import dataclass

import numpy as np

from diagnose.physics.arrays import FloatArray
from diagnose.physics.atmosphere import STANDARD_GRAVITY
from diagnose.physics.errors import PhysicsError
from diagnose.physics.lanes import Lanes
from diagnose.physics.quarter_car import Motion

__all__ = ["EnergyBalance", "energy_balance"]


@dataclass(frozen=True, slots=True)
class EnergyBalance:
    """Energy (J) of a run from its first to its last step, one entry a lane.

    Attributes:
        from_ground: work of the ground on the bike.
        stored: growth of movement, height, spring, air and stop energy.
        damper_heat: heat in damper and friction, never negative.
        residual: from_ground - stored - damper_heat.
        turnover: size the residual is to be judged against: all energy that changed hands.
    """

    from_ground: FloatArray
    stored: FloatArray
    damper_heat: FloatArray
    residual: FloatArray
    turnover: FloatArray

    @property
    def relative_error(self) -> FloatArray:
        """Size of the residual as a share of the turnover."""
        error: FloatArray = np.abs(self.residual) / self.turnover
        return error


def energy_balance(lanes: Lanes, motion: Motion) -> EnergyBalance:
    """Return the energy balance of a run made with traces.

    The tyre belongs to the ground here: its force works on the axle's movement, so what it
    stores and loses is inside ``from_ground``.

    Raises:
        PhysicsError: the run kept no traces.

    Source: trapezoidal sums of force times speed against the change of stored energy.
    """
    traces = motion.traces
    if traces is None:
        raise PhysicsError("the run kept no traces; simulate it with traces")
    dt = motion.time_step

    def work(power: FloatArray) -> FloatArray:
        total: FloatArray = dt * (power.sum(axis=0) - 0.5 * (power[0] + power[-1]))
        return total

    body = traces.axle - traces.travel
    body_speed = traces.axle_speed - traces.travel_speed

    def store(row: int) -> FloatArray:
        moving = lanes.sprung_mass * body_speed[row] ** 2
        moving = moving + lanes.unsprung_mass * traces.axle_speed[row] ** 2
        height = lanes.sprung_mass * body[row] + lanes.unsprung_mass * traces.axle[row]
        held: FloatArray = 0.5 * moving + STANDARD_GRAVITY * height
        return held + lanes.suspension.energy(traces.travel[row])

    ground_power = traces.tyre_force * traces.axle_speed
    heat_power = traces.damper_force * traces.travel_speed
    from_ground, damper_heat = work(ground_power), work(heat_power)
    stored = store(-1) - store(0)
    return EnergyBalance(
        from_ground=from_ground,
        stored=stored,
        damper_heat=damper_heat,
        residual=from_ground - stored - damper_heat,
        turnover=work(np.abs(ground_power)) + damper_heat,
    )
