"""The form for a case's paperwork: customer, bike, technician, parts, time, and a note."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.records.bikes.bike_input import note
from diagnose.records.cases.entries import Details
from diagnose.records.cases.filling_in import DETAILS, WrongDetail, filled_in
from rules.problems import BadInput
from tui.dialogs.short_form import YES, Field, ShortForm, WrongField

_HINTS = {
    "bike": ", such as colour and number",
    "parts": ", with commas between",
    "time": ", such as 45 min or 1.5 h",
}


@dataclass(frozen=True, slots=True)
class Filled:
    """What a form says: the details, a note to add (empty for none), and whether the shop wants a
    price noted."""

    details: Details
    note: str
    notes_price: bool


def details_form(before: Details, *, notes_price: bool, is_open: bool) -> ShortForm[Filled]:
    """The form, with what is filled in already; a price only where the shop asks for it, and a note
    only to an open case."""
    asked = [field for field in DETAILS if field != "price" or notes_price or before.price]
    fields = [Field(n, f"{DETAILS[n]}{_HINTS.get(n, '')}", getattr(before, n)) for n in asked]
    fields += [Field("note", "Note")] if is_open else []
    fields.append(Field("notes-price", "This shop notes a price", YES * notes_price, is_tick=True))

    def read(said: Mapping[str, str]) -> Filled:
        try:
            details = filled_in(before, {field: said[field] for field in asked})
        except WrongDetail as wrong:
            raise WrongField(wrong.field, wrong.problem) from None
        try:
            words = note(said["note"]) if said.get("note") else ""
        except BadInput as problem:
            raise WrongField("note", str(problem)) from None
        return Filled(details, words, said["notes-price"] == YES)

    return ShortForm("For the job card; none of it is evidence", fields, read)
