"""What the commands about bikes share."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from tui.cli.common import Packs, load_rules, or_exit
from tui.cli.storing import open_or_exit
from tui.terminal.clock import today

if TYPE_CHECKING:
    from diagnose.records.bikes.bike_book import BikeBook
    from rules.rulebase import RuleBase


def begin(store: str | None, pack: Packs, *, create: bool = False) -> tuple[RuleBase, BikeBook]:
    """The rule base and the bikes of the store. Exits where one of them cannot be loaded."""
    from diagnose.records.bikes.bike_book import BikeBook

    return load_rules(pack), BikeBook(open_or_exit(store, create=create))


def day_given(text: str | None) -> date:
    """The day that was given, or today. Exits for one that is no date or has not come yet."""
    from diagnose.records.store.times import read_date

    return today() if text is None else or_exit(lambda: read_date(text, today()))
