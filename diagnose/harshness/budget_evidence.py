"""The harshness budget as evidence: which cause is behind it when several readings are off?

A single reading off its target is evidence by itself (a gauge that reads 26 psi points at the
tyre), and a budget computed from that one reading would only repeat it. The budget adds something
where two or more readings of one end are off: it says which of them makes most of the harshness,
and so divides the blame between causes that each have a reading in their favour. So a pack uses it
only where at least two readings are off (`off_inputs: 2`), and links it to its causes with modest
strength: the readings keep their own weight, and the budget shifts it between them. It is one
number for each end, since one for the tyre and another for damping would say one thing twice; and
where neither clearly leads it is left out, since then it divides nothing.

Source: computed, :mod:`diagnose.physics.budget` over smooth ground, small chop and a square
edge, best guess.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Protocol

from rules.problems import BadInput
from rules.units.quantities import Quantity

__all__ = ["tyre_less_damping"]

VALUE_OF_ROLE: Mapping[str, Mapping[str, str]] = {
    "front": {
        "tyre": "front-tyre",
        "compression": "fork-compression",
        "rebound": "fork-rebound",
        "sag": "front-sag",
        "height-gained": "ridden-at",
        "clamps": "fork-clamps",
        "oil": "fork-oil",
    },
    "rear": {
        "tyre": "rear-tyre",
        "low-speed-compression": "shock-low-speed",
        "high-speed-compression": "shock-high-speed",
        "rebound": "shock-rebound",
        "sag": "rear-sag",
        "gap": "rear-gap",
    },
}


_LEAST = 5.0
"""Percent of the extra harshness that tyre and damping must make together. Our own choice."""


class _Reading(Protocol):
    @property
    def value(self) -> Quantity: ...

    @property
    def target(self) -> Quantity | None: ...


_Pairs = tuple[tuple[str, Quantity], ...]


def tyre_less_damping(end: str) -> Callable[[Mapping[str, _Reading]], float | None]:
    """A function from readings by role to the tyre's share of the end's extra harshness less that
    of damping: 100 % is all tyre, -100 % all damping, None no answer."""

    def balance(readings: Mapping[str, _Reading]) -> float | None:
        names = VALUE_OF_ROLE[end]
        measured = tuple(sorted((names[role], item.value) for role, item in readings.items()))
        targets = tuple(
            sorted((names[r], item.target) for r, item in readings.items() if item.target)
        )
        shares = _shares(end, measured, targets)
        if shares is None:
            return None
        tyre, damping = shares["the tyre"], shares["damping"]
        # where something else makes all of it, this says nothing of either
        return tyre - damping if tyre + damping >= _LEAST else None

    return balance


@lru_cache(maxsize=256)
def _shares(end: str, measured: _Pairs, targets: _Pairs) -> dict[str, float] | None:
    """Each group's share of the extra harshness (%); None where there is none, or where the
    readings together are impossible."""
    # The physics is slow to import, so an interview starts without it.
    from diagnose.harshness.compared_bike import build_case  # noqa: PLC0415
    from diagnose.harshness.shares import evidence_shares  # noqa: PLC0415
    from diagnose.harshness.values import End, KnownValues  # noqa: PLC0415

    known = dict(measured)
    if "ridden-at" in known:
        known["bled-at"] = Quantity(0.0, "m")
    try:
        shares = evidence_shares(build_case(KnownValues(known, dict(targets))), End(end))
    except BadInput:
        return None
    return None if shares is None else {name: 100.0 * share for name, share in shares.items()}
