"""Sag from tape-measure readings, and the friction that blurs them.

All lengths are between the same two points of the bike (axle and a mark above it), in metres.
The rates here are wheel rates: newtons per metre of movement at the wheel.

Source of the procedure (race weight, kit on, same two points, average of a push and a lift):
owner's-manual and trade-press practice.
"""

from dataclasses import dataclass

from diagnose.physics.errors import PhysicsError, not_negative, positive

__all__ = [
    "AveragedSag",
    "FrictionBand",
    "SagReadings",
    "averaged_sag",
    "friction_band",
    "sag_readings",
]


@dataclass(frozen=True, slots=True)
class SagReadings:
    """Sag of one end of the bike.

    `static`: sag (m) under the bike alone (also called free sag).
    `race`: sag (m) with the kitted rider on.
    `travel`: full wheel travel (m) of that end.
    """

    static: float
    race: float
    travel: float

    @property
    def static_percent(self) -> float:
        """Static sag in percent of travel."""
        return 100.0 * self.static / self.travel

    @property
    def race_percent(self) -> float:
        """Race sag in percent of travel."""
        return 100.0 * self.race / self.travel


def sag_readings(extended: float, unladen: float, laden: float, travel: float) -> SagReadings:
    """Return static and race sag from three lengths.

    `extended`: length (m) with the wheel hanging free.
    `unladen`: length (m) with the bike standing on its wheels, nobody on it.
    `laden`: length (m) with the kitted rider in riding position.
    `travel`: full wheel travel (m).

    Raises `PhysicsError` if a length is not above zero, the lengths are out of order (each added
    load must shorten the length), or the race sag is beyond the travel.

    Source: definition of sag, common practice.
    """
    positive("extended length", extended, "m")
    positive("unladen length", unladen, "m")
    positive("laden length", laden, "m")
    positive("travel", travel, "m")
    if unladen > extended:
        raise PhysicsError(
            f"unladen length is {unladen:g} m, longer than the extended {extended:g} m; "
            "the bike's own weight can only shorten it"
        )
    if laden > unladen:
        raise PhysicsError(
            f"laden length is {laden:g} m, longer than the unladen {unladen:g} m; "
            "the rider's weight can only shorten it"
        )
    if extended - laden > travel:
        raise PhysicsError(
            f"race sag is {extended - laden:g} m, beyond the travel of {travel:g} m; "
            "measure between the same two points each time"
        )
    return SagReadings(static=extended - unladen, race=extended - laden, travel=travel)


@dataclass(frozen=True, slots=True)
class AveragedSag:
    """Sag freed of friction, and the friction band it was taken from.

    `sag`: sag (m), midway between the two readings.
    `band`: distance (m) between the reading after a lift and the one after a push-down.
    """

    sag: float
    band: float


def averaged_sag(
    extended: float, after_push: float, after_lift: float, travel: float
) -> AveragedSag:
    """Return sag from a reading after a push-down and one after a lift.

    `extended`: length (m) with the wheel hanging free.
    `after_push`: length (m) after pushing the bike down and letting it rise on its own.
    `after_lift`: length (m) after lifting the bike and letting it settle on its own.
    `travel`: full wheel travel (m).

    Raises `PhysicsError` if a length is not above zero, the lift reading is shorter than the push
    reading (they are swapped), or the sag is negative or beyond the travel.

    Source: sag = L1 - (L2 + L3) / 2, band = L3 - L2: common practice, in trade handbooks.
    """
    positive("extended length", extended, "m")
    positive("length after the push", after_push, "m")
    positive("length after the lift", after_lift, "m")
    positive("travel", travel, "m")
    if after_lift < after_push:
        raise PhysicsError(
            f"length after the lift is {after_lift:g} m, shorter than {after_push:g} m after "
            "the push; friction holds a lifted bike higher, so the two look swapped"
        )
    sag = extended - (after_push + after_lift) / 2.0
    if not 0.0 <= sag <= travel:
        raise PhysicsError(f"sag is {sag:g} m; it must be between 0 and the travel {travel:g} m")
    return AveragedSag(sag=sag, band=after_lift - after_push)


@dataclass(frozen=True, slots=True)
class FrictionBand:
    """Friction of one end as the sag readings show it.

    `band`: distance (m) over which the end stays wherever it is left.
    `force`: friction (N) at the wheel, acting against movement either way.
    """

    band: float
    force: float


def friction_band(band: float, wheel_rate: float) -> FrictionBand:
    """Return the friction force (N, at the wheel) behind a friction `band` (m).

    `band`: distance (m) between the two averaged-sag readings.
    `wheel_rate`: spring rate (N/m) at the wheel.

    Raises `PhysicsError` if the band is negative or the rate is not above zero.

    Source: computed. The spring rests anywhere it cannot beat friction: F / k below or above
    the frictionless point, so the band is 2 F / k.
    """
    not_negative("friction band", band, "m")
    positive("wheel rate", wheel_rate, "N/m")
    return FrictionBand(band=band, force=wheel_rate * band / 2.0)
