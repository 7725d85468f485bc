"""What each change worth considering would do to the harshness of one end."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from diagnose.harshness.compared_bike import HarshnessCase
from diagnose.harshness.said import friction_found
from diagnose.harshness.shares import SEED, obstacles_at
from diagnose.harshness.values import End
from diagnose.physics.budget.what_if import WhatIfEffect
from diagnose.physics.budget.what_if import what_ifs as budget_what_ifs
from diagnose.physics.ride.axle import Setup
from rules.units.quantities import Quantity

__all__ = ["WhatIf", "what_ifs"]


@dataclass(frozen=True, slots=True)
class WhatIf:
    """One change at one end, and what it does over each ride."""

    title: str
    effects: tuple[WhatIfEffect, ...]

    def over(self, obstacle: str) -> WhatIfEffect:
        """The effect over one ride. Raises `KeyError`."""
        for effect in self.effects:
            if effect.obstacle == obstacle:
                return effect
        raise KeyError(obstacle)


def what_ifs(case: HarshnessCase, end: End) -> tuple[WhatIf, ...]:
    """The changes worth considering at this end, each alone, then all together.

    Raises `PhysicsError` for settings that stand beyond the travel.
    """
    titles, afters = zip(*_changes(case, end), strict=True)
    rng = np.random.default_rng(SEED)
    before = case.setups(end)[0]
    effects = budget_what_ifs(case.axle(end), before, afters, obstacles_at(case, end), rng)
    return tuple(WhatIf(title, over) for title, over in zip(titles, effects, strict=True))


def _changes(case: HarshnessCase, end: End) -> list[tuple[str, Setup]]:
    """The changes by their titles, each from as measured, with how the end is set after it."""
    before, target = case.setups(end)
    found: list[tuple[str, Setup]] = []

    def change(title: str, **after: float) -> None:
        found.append((title, replace(before, **after)))

    two_psi, aim = Quantity(2.0, "psi").to("Pa").value, target.tyre_pressure
    # a tyre is never let down below what it should be: the rim would be met on lower edges
    if before.tyre_pressure - two_psi >= aim:
        change("two psi out", tyre_pressure=before.tyre_pressure - two_psi)
    if before.tyre_pressure != aim:
        change(f"tyre to {Quantity(aim, 'Pa').to('psi').value:.3g} psi", tyre_pressure=aim)
    slow = "compression" if end is End.FRONT else "low-speed compression"
    by_hand = case.has("fork-rebound" if end is End.FRONT else "shock-rebound")
    if by_hand:
        change(f"{slow} four clicks out", low_speed_compression=before.low_speed_compression + 4.0)
    if by_hand and end is End.REAR:
        out = before.high_speed_compression + 0.5
        change("high-speed half a turn out", high_speed_compression=out)
    if by_hand:
        change("rebound four clicks out", rebound=before.rebound + 4.0)
    if before.friction > target.friction or before.clamp_friction > 0.0:
        change(_freed(case, end), friction=target.friction, clamp_friction=0.0)
    if before.trapped_pressure != 0.0:
        change("bled", trapped_pressure=0.0)
    if before.oil_raised != 0.0:
        change("oil level as it should be", oil_raised=0.0)
    rate, preload = target.spring_rate, target.spring_preload
    if (before.spring_rate, before.spring_preload) != (rate, preload):
        title = "spring and sag as they should be"
        change(title, spring_rate=rate, spring_preload=preload)
    if before != replace(target, air_pressure=before.air_pressure):
        found.append(("all as it should be", target))
    return found


def _freed(case: HarshnessCase, end: End) -> str:
    """What takes the friction away, by what was found."""
    if friction_found(case, end) == "over-tight clamps":
        return f"lower clamps to {case.used_value('fork-clamps').target}"
    return "what drags found and freed"
