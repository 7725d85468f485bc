"""Faults found: causes that were seen themselves, by a check that settles them."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.inference.evidence import Evidence
from diagnose.inference.posterior import Belief, Model


@dataclass(frozen=True, slots=True)
class FoundFault:
    """A cause and what shows it. `put_right` says that it has been corrected since."""

    cause: str
    shown_by: Evidence
    chance: float
    put_right: bool


def found_faults(model: Model, belief: Belief) -> tuple[FoundFault, ...]:
    """What was found on this bike, whether or not it explains the complaint, in the order found;
    of several looks at one fault the latest."""
    latest: dict[str, Evidence] = {}
    for item in belief.evidence:
        for cause in item.settles:
            if belief.applies[model.network.cause_index[cause]]:
                latest[cause] = item
    index = model.network.cause_index
    return tuple(
        FoundFault(
            cause, item, float(belief.marginal[index[cause]]), bool(belief.gone[index[cause]])
        )
        for cause, item in latest.items()
    )
