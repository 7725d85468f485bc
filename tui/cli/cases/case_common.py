"""What the commands about kept cases share."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.cli.common import Packs, load_rules, or_exit
from tui.cli.storing import learned_from, open_or_exit

if TYPE_CHECKING:
    from diagnose.advice.assessor import Assessment, Assessor
    from diagnose.records.bikes.bike import Bike
    from diagnose.records.cases.case_book import CaseBook, KeptCase
    from rules.rulebase import RuleBase


def read_case(number: int, store: str | None, pack: Packs) -> tuple[RuleBase, CaseBook, KeptCase]:
    """The rule base, the cases of the store and one of them, by its number. Exits with a message
    where one of them cannot be loaded."""
    from diagnose.records.cases.case_book import CaseBook

    rules = load_rules(pack)
    book = CaseBook(open_or_exit(store), rules)
    return rules, book, or_exit(lambda: book.read(number))


def bike_of(book: CaseBook, kept: KeptCase) -> Bike | None:
    """The bike of a case; None where it is of none that is kept. Exits where it cannot be read."""
    from diagnose.records.bikes.bike_book import BikeBook

    name = kept.bike
    return None if name is None else or_exit(lambda: BikeBook(book.store).read(name))


def assess_kept(book: CaseBook, kept: KeptCase) -> tuple[Assessor, Assessment]:
    """The rule base as the shop's proven cases have moved it, for a closed case those from before
    it was closed, and what it makes of a kept case."""
    from diagnose.advice.assessor import Assessor
    from diagnose.records.cases.fitting import fitted

    taught = learned_from(book.store, book.rules, kept.closed_at).rules
    assessor = or_exit(lambda: Assessor(taught))
    return assessor, or_exit(lambda: assessor.assess(fitted(book.rules, kept.case)))
