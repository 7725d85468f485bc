"""A calculation as one document with a stable format, for other programs to read."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

from diagnose.calculators.model import Calculation, Given, Result
from rules.units.quantities import Quantity, si_unit


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True)


class InputItem(_Part):
    """An input as written and in SI (null for a word); `assumed` where the default was taken."""

    name: str
    title: str
    given: str
    si: float | None
    si_unit: str
    assumed: bool
    source: str


class ShownItem(_Part):
    """A result in one unit."""

    value: float
    low: float | None
    high: float | None
    unit: str


class FigureItem(_Part):
    """A result in SI, then in the units people use."""

    name: str
    title: str
    si: float
    si_unit: str
    shown: list[ShownItem]


class CalculationDocument(_Part):
    """The whole document. Fields are only ever added within one `version`."""

    format: Literal["badride-calculation"] = "badride-calculation"
    version: Literal[1] = 1
    name: str
    title: str
    formula: str
    inputs: list[InputItem]
    figures: list[FigureItem]
    says: list[str]
    questions: list[str]
    cautions: list[str]
    source: str
    computed_by: str


def calculation_document(calculation: Calculation) -> CalculationDocument:
    """The document of a calculation."""
    calculator = calculation.calculator
    return CalculationDocument(
        name=calculator.name,
        title=calculator.title,
        formula=calculator.formula,
        inputs=[_input(given, value) for given in calculation.given for value in given.values],
        figures=[_figure(figure) for figure in calculation.figures],
        says=list(calculation.says),
        questions=list(calculation.questions),
        cautions=list(calculator.cautions),
        source=calculator.source,
        computed_by=calculator.module,
    )


def _input(given: Given, value: Quantity | str) -> InputItem:
    quantity = None if isinstance(value, str) else value
    unit = "" if quantity is None else si_unit(quantity.unit)
    return InputItem(
        name=given.input.name,
        title=given.input.title,
        given=str(value),
        si=None if quantity is None else quantity.to(unit).value,
        si_unit=unit,
        assumed=given.assumed,
        source=given.input.source if given.assumed else "as given",
    )


def _figure(figure: Result) -> FigureItem:
    def shown(value: float | None, unit: str) -> float | None:
        return None if value is None else Quantity(value, figure.unit).to(unit).value

    items = []
    for unit in figure.shown:
        middle = shown(figure.value, unit)
        assert middle is not None
        items.append(
            ShownItem(
                value=middle,
                low=shown(figure.low, unit),
                high=shown(figure.high, unit),
                unit=Quantity(0.0, unit).unit,
            )
        )
    return FigureItem(
        name=figure.name, title=figure.title, si=figure.value, si_unit=figure.unit, shown=items
    )
