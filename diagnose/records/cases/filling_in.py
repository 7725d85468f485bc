"""Filling in a case's paperwork: whose bike, who worked, with what, how long, for how much."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.records.bikes.bike_input import note
from diagnose.records.cases.entries import Details
from rules.problems import BadInput
from rules.units.quantities import parse_quantity

DETAILS: Mapping[str, str] = {
    "customer": "Customer",
    "bike": "Bike brought in",
    "technician": "Technician",
    "parts": "Parts used",
    "time": "Time taken",
    "price": "Price",
}
"""What can be filled in, with the name that it has on a form and on a card."""


class WrongDetail(BadInput):
    """A text that cannot be what it is given as; `field` is one of `DETAILS`."""

    def __init__(self, field: str, problem: str) -> None:
        super().__init__(f"{DETAILS[field]}: {problem}")
        self.field, self.problem = field, problem


def filled_in(before: Details, given: Mapping[str, str]) -> Details:
    """`before` with what is given; an empty text takes one out. A time is a quantity such as
    `1.5 h`, a bare number minutes. Raises `WrongDetail`."""
    read = {field: _read(field, text) if text.strip() else "" for field, text in given.items()}
    return before.model_copy(update=read)


def _read(field: str, text: str) -> str:
    try:
        words = note(text)
        if field != "time":
            return words
        taken = parse_quantity(words, "min")
    except BadInput as problem:
        raise WrongDetail(field, str(problem)) from None
    if taken.value <= 0:
        raise WrongDetail(field, f"{taken} is no time that work takes")
    return str(taken)
