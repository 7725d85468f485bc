"""A full-size off-road bike to stand in for whatever was not measured.

Source: masses, wheel rates and tyre sizes are a manual-based estimate (computed from printed
fork and shock spring rates with assumed masses); the damping curves, friction, oil level and
stops are from memory. Replace with the owner's-manual values of the bike at hand.
"""

import math

from diagnose.physics.damping.damping_curve import Adjusters, DampingCurve
from diagnose.physics.ride.axle import AirColumn, Axle, Contact, Setup, fork_air_column
from diagnose.physics.ride.harshness import Bike, BikeSetup
from diagnose.physics.springs.trapped_air import SealedLeg
from diagnose.physics.springs.tyre_pressure import CARCASS_STIFFNESS

__all__ = ["FORK_LEG", "RAKE", "reference_bike", "reference_setup"]

RAKE = math.radians(27.1)
"""rad. Source: printed for several bikes of the class."""

FORK_LEG = SealedLeg(bore=0.048, air_volume=0.000_724, stroke=0.300)
"""48 mm leg with a compression ratio of 4 (from memory) over 300 mm (printed travel)."""

_FORK_RATE = 4_700.0
"""N/m of each fork spring. Source: middle of printed rates, 4.4 to 5.0 N/mm."""


def reference_bike() -> Bike:
    """Return the stand-in bike with a kitted rider of about 80 kg.

    Source: see the head of this module.
    """
    front = Axle(
        contact=Contact.HANDS,
        sprung_mass=78.0,
        unsprung_mass=15.0,
        wheel_radius=0.3467,
        crown_radius=0.0425,
        carcass_stiffness=CARCASS_STIFFNESS,
        tyre_damping=100.0,
        travel=0.300 * math.cos(RAKE),
        damping=DampingCurve(
            low_compression=800.0,
            high_compression=320.0,
            low_rebound=1_100.0,
            high_rebound=450.0,
            compression_knee=0.40,
            rebound_knee=0.35,
        ),
        adjusters=Adjusters(),
        air=fork_air_column(FORK_LEG, RAKE),
        bump_start=0.235,
        bump_stiffness=1.2e6,
    )
    rear = Axle(
        contact=Contact.BODY,
        sprung_mass=100.0,
        unsprung_mass=20.0,
        wheel_radius=0.3403,
        crown_radius=0.0586,
        carcass_stiffness=CARCASS_STIFFNESS,
        tyre_damping=100.0,
        travel=0.307,
        damping=DampingCurve(
            low_compression=850.0,
            high_compression=340.0,
            low_rebound=1_150.0,
            high_rebound=450.0,
            compression_knee=0.40,
            rebound_knee=0.35,
        ),
        adjusters=Adjusters(),
        air=AirColumn(area=0.0, length=1.0),
        bump_start=0.260,
        bump_stiffness=1.2e6,
    )
    return Bike(front=front, rear=rear)


def reference_setup() -> BikeSetup:
    """Return the stand-in bike set as it should be: 12.5 psi front, 13.5 psi rear, bled.

    Source: tyre pressures are off-road practice (80 to 125 kPa, from memory); friction is
    what a 10 mm band in averaged sag means at these wheel rates (computed); preload gives a
    race sag of about 50 mm front and 100 mm rear (computed).
    """
    front = Setup(
        tyre_pressure=86_200.0,
        low_speed_compression=10.0,
        high_speed_compression=1.75,
        rebound=12.0,
        friction=60.0,
        trapped_pressure=0.0,
        spring_rate=2.0 * _FORK_RATE / math.cos(RAKE) ** 2,
        spring_preload=50.0,
    )
    rear = Setup(
        tyre_pressure=93_100.0,
        low_speed_compression=10.0,
        high_speed_compression=1.75,
        rebound=12.0,
        friction=45.0,
        trapped_pressure=0.0,
        spring_rate=8_900.0,
        spring_preload=91.0,
    )
    return BikeSetup(front=front, rear=rear)
