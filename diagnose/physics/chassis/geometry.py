"""Rake, trail and wheelbase, and how they follow fork height, ride height and tyre size.

The offset here is the *whole* distance from the axle to the steering axis: clamp offset plus
axle lead, about 53 to 54 mm on a full-size bike. The 22 mm or so stamped on the clamps alone
gives a trail some 35 mm too long.

Source: plane geometry of two wheels on flat ground (computed); trail T = (R sin e - d) / cos e
is in every text on motorcycle dynamics (from memory).
"""

import math
from dataclasses import dataclass

from diagnose.physics.errors import PhysicsError, finite, positive, within

__all__ = [
    "Adjustment",
    "Geometry",
    "PerMillimetre",
    "adjusted",
    "offset_from_trail",
    "per_millimetre",
]


@dataclass(frozen=True, slots=True)
class Geometry:
    """The plane geometry of a bike standing on both wheels.

    `rake`: steering-axis angle (rad) from the vertical.
    `offset`: distance (m) from the front axle to the steering axis.
    `front_radius`: outer radius (m) of the front tyre.
    `rear_radius`: outer radius (m) of the rear tyre.
    `wheelbase`: horizontal distance (m) between the axles.

    Raises `PhysicsError` if a size is not above zero, or the rake is outside 10° to 45°.
    """

    rake: float
    offset: float
    front_radius: float
    rear_radius: float
    wheelbase: float

    def __post_init__(self) -> None:
        """Raises `PhysicsError` for impossible values."""
        within("rake", self.rake, math.radians(10.0), math.radians(45.0), "rad")
        positive("offset", self.offset, "m")
        positive("front tyre radius", self.front_radius, "m")
        positive("rear tyre radius", self.rear_radius, "m")
        positive("wheelbase", self.wheelbase, "m")

    @property
    def trail(self) -> float:
        """Distance (m) on the ground from the steering axis back to the contact point."""
        return (self.front_radius * math.sin(self.rake) - self.offset) / math.cos(self.rake)

    @property
    def normal_trail(self) -> float:
        """Trail (m) measured square to the steering axis."""
        return self.trail * math.cos(self.rake)


def offset_from_trail(rake: float, trail: float, front_radius: float) -> float:
    """Return the whole axle-to-steering-axis offset (m) behind a published trail.

    `rake`: rake (rad).
    `trail`: trail (m).
    `front_radius`: outer radius (m) of the front tyre.

    Raises `PhysicsError` for a rake outside 10° to 45° or a radius not above zero.

    Source: the trail formula solved for d (computed).
    """
    within("rake", rake, math.radians(10.0), math.radians(45.0), "rad")
    positive("front tyre radius", front_radius, "m")
    return front_radius * math.sin(rake) - finite("trail", trail, "m") * math.cos(rake)


@dataclass(frozen=True, slots=True)
class Adjustment:
    """A change to the chassis, everything zero when left out.

    `tubes_raised`: how much further (m) the fork tubes are pushed up through the clamps;
        the front drops.
    `front_sag`: more sag (m, vertical) at the front.
    `rear_sag`: more sag (m, vertical) at the rear; less ride height.
    `front_radius`: growth (m) of the front tyre's radius.
    `rear_radius`: growth (m) of the rear tyre's radius.
    `offset`: growth (m) of the offset (other clamps).
    """

    tubes_raised: float = 0.0
    front_sag: float = 0.0
    rear_sag: float = 0.0
    front_radius: float = 0.0
    rear_radius: float = 0.0
    offset: float = 0.0

    def __post_init__(self) -> None:
        """Raises `PhysicsError` for impossible values."""
        for name in self.__slots__:
            finite(name.replace("_", " "), getattr(self, name), "m")


def adjusted(geometry: Geometry, change: Adjustment) -> Geometry:
    """Return the geometry after `change`, with both tyres back on the ground.

    The front axle moves along the fork and the rear axle straight up relative to the frame;
    then the frame is turned until both tyres touch. The arc of the swingarm and the sag that
    a change of weight balance brings are left out.

    Raises `PhysicsError` if the result is not a bike (axles not apart, rake outside 10° to 45°).

    Source: computed.
    """
    along = change.tubes_raised + change.front_sag / math.cos(geometry.rake)
    forward = geometry.wheelbase - along * math.sin(geometry.rake)
    forward += change.offset * math.cos(geometry.rake)
    up = geometry.front_radius - geometry.rear_radius + along * math.cos(geometry.rake)
    up += change.offset * math.sin(geometry.rake) - change.rear_sag

    front_radius = geometry.front_radius + change.front_radius
    rear_radius = geometry.rear_radius + change.rear_radius
    rise = front_radius - rear_radius
    apart = math.hypot(forward, up)
    if abs(rise) >= apart:
        raise PhysicsError(
            f"the axles end up {apart:g} m apart with radii {front_radius:g} m and "
            f"{rear_radius:g} m; the change must leave them further apart than that"
        )
    nose_down = math.atan2(up, forward) - math.asin(rise / apart)
    return Geometry(
        rake=geometry.rake - nose_down,
        offset=geometry.offset + change.offset,
        front_radius=front_radius,
        rear_radius=rear_radius,
        wheelbase=math.sqrt(apart**2 - rise**2),
    )


@dataclass(frozen=True, slots=True)
class PerMillimetre:
    """What one millimetre of a change does.

    `rake`: change of rake (rad).
    `trail`: change of trail (m).
    `wheelbase`: change of wheelbase (m).
    """

    rake: float
    trail: float
    wheelbase: float


def per_millimetre(geometry: Geometry, unit_change: Adjustment) -> PerMillimetre:
    """Return what 1 mm of `unit_change` does to the geometry.

    `geometry`: the bike as it stands.
    `unit_change`: a change given in *metres per metre*: `Adjustment(tubes_raised=1.0)`
        asks for one millimetre of tube height.

    Raises `PhysicsError` as :func:`adjusted`.

    Source: computed, central difference over 2 mm.
    """

    def scaled(factor: float) -> Geometry:
        values = {name: factor * getattr(unit_change, name) for name in unit_change.__slots__}
        return adjusted(geometry, Adjustment(**values))

    plus, minus = scaled(0.001), scaled(-0.001)
    return PerMillimetre(
        rake=(plus.rake - minus.rake) / 2.0,
        trail=(plus.trail - minus.trail) / 2.0,
        wheelbase=(plus.wheelbase - minus.wheelbase) / 2.0,
    )
