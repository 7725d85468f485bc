"""The sheet as plain lines, and what is typed at it."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.advice.sheet import CaseSheet, SheetRow
from diagnose.case.events import Answered, Case, Event, read_answer
from diagnose.words.answers import accepted, none_of, unit_of_bare
from diagnose.words.sheet_words import PARTS, row_card, row_label, row_text
from diagnose.words.titles import sentence
from rules.problems import BadInput
from rules.rulebase import RuleBase
from rules.units.quantities import with_unit
from tui.plain.cautions_once import CautionsOnce
from tui.plain.lines import step_lines
from tui.plain.sheet_rows import blank, is_typed, row_offers
from tui.terminal.text import wrapped

_HINT = "A number shows that line whole; a number and an answer fill it (2 13 psi); Enter goes on."
_EMPTY = "Nothing is left to fill in; Enter goes on."


class BadRow(BadInput):
    """No row has this number, or it does not take this."""


class PlainSheet:
    """Reads what is typed at a sheet. It remembers what was shown: a row with a caution is answered
    once that was read, and work is done once its steps were."""

    def __init__(self, rules: RuleBase, cautions: CautionsOnce) -> None:
        self._rules, self._cautions = rules, cautions
        self._shown: set[str] = set()

    def lines(self, case: Case, sheet: CaseSheet, most: int | None = None) -> Iterator[str]:
        """A numbered line for each of the first `most` rows, under the name of its part."""
        part = ""
        for number, row in enumerate(sheet.rows[:most], 1):
            if PARTS[row.kind] != part:
                part = PARTS[row.kind]
                yield f"{part}:"
            words = row_text(self._rules, case, row)
            value = words.value or blank(self._rules, case, row)
            about = ", ".join(text for text in (words.minutes, words.use) if text)
            text = f"{sentence(words.title)} {value}{f' ({about})' if about else ''}"
            yield from wrapped(text, "      ", f"  {number:>2}  ")
        left = 0 if most is None else len(sheet.rows) - most
        more = f" {left} more: s lists them all." if left > 0 else ""
        yield from wrapped(f"{_HINT if sheet.rows else _EMPTY}{more}")

    def row_lines(self, case: Case, row: SheetRow) -> Iterator[str]:
        """A row whole, its cautions first, and what it takes; it counts as shown."""
        self._shown.update((*row.cautions, row.about))
        words = row_card(self._rules, case, row)
        yield f"{row_label(self._rules, row)}:"
        yield from step_lines(*self._cautions.fold(row.about, words))
        self._cautions.read(row.about, words)
        if is_typed(self._rules, row):
            entry = self._rules.observations[row.about]
            yield from wrapped(
                f"A {accepted(unit_of_bare(self._rules, case, row.about), entry.in_words)}",
                "  ",
                "  ",
            )
        for offer in row_offers(self._rules, row):
            yield f"  {offer.key}  {offer.label}"

    def read(self, case: Case, sheet: CaseSheet, text: str) -> tuple[SheetRow, Event | None]:
        """The row that `text` names, and what is to be recorded; None where the row is to be shown,
        as one that must be read first. Raises `BadInput`."""
        number, _, value = text.partition(" ")
        if not (number.isdecimal() and 0 < int(number) <= len(sheet.rows)):
            raise BadRow(
                none_of(text, [f"1 to {len(sheet.rows)}, alone or with its answer", "Enter"])
            )
        row, value = sheet.rows[int(number) - 1], value.strip()
        needed = {*row.cautions, row.about} if row.is_work else set(row.cautions)
        if not value or (row.kind != "said" and not needed <= self._shown):
            return row, None
        return row, self._event(case, row, value)

    def _event(self, case: Case, row: SheetRow, value: str) -> Event:
        offers = row_offers(self._rules, row)
        picked = next((offer.event for offer in offers if offer.key == value.lower()), None)
        if picked is not None:
            return picked
        if is_typed(self._rules, row):
            unit = unit_of_bare(self._rules, case, row.about)
            return read_answer(self._rules, row.about, with_unit(value, unit))
        labels = [f"{offer.key} {offer.label}" for offer in offers]
        for offer in offers:
            is_state = isinstance(offer.event, Answered) and offer.event.state == value.lower()
            if offer.event is not None and (is_state or offer.label.lower() == value.lower()):
                return offer.event
        raise BadRow(none_of(value, labels))
