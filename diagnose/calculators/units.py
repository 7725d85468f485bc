"""One quantity in every unit of its kind."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.calculators.model import Calculator, Input, Result, Values
from rules.units.quantities import si_unit, units_like


def _units(values: Values) -> Iterator[Result]:
    quantity = values.quantity("value")
    unit = si_unit(quantity.unit)
    yield Result(
        "value",
        f"The {quantity.kind}",
        values.si("value"),
        unit,
        units_like(quantity.unit) or ("",),
    )


CALCULATORS = (
    Calculator(
        name="units",
        title="A quantity in the other units people write",
        formula="exact factors",
        inputs=(Input("value", "any quantity, such as 25 psi or 15 ft-lb", None),),
        source="NIST SP 811, appendix B",
        module="rules.units.quantities",
        compute=_units,
    ),
)
