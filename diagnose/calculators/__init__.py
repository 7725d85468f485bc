"""The workshop's calculators as data: inputs with units, formula, source, and a small function.

`calculators()` gives all of them by name; :func:`diagnose.calculators.model.calculate` runs one.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from diagnose.calculators.model import Calculator

__all__ = ["calculators"]


@cache
def calculators() -> Mapping[str, Calculator]:
    """Every calculator by name, in the order they are listed."""
    from diagnose.calculators import (  # noqa: PLC0415  # the physics is slow to import
        air,
        chassis,
        damping,
        fasteners,
        sag_calculators,
        service_calculators,
        springs,
        tyres,
        units,
    )

    modules = (
        air,
        tyres,
        sag_calculators,
        springs,
        damping,
        chassis,
        fasteners,
        service_calculators,
        units,
    )
    return {item.name: item for module in modules for item in module.CALCULATORS}
