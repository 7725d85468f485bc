"""PostgreSQL stopped and started again while several benches write: what a bench was told is kept is
there once, and what it was told is not kept is there once or not at all."""

from __future__ import annotations

import threading
import time
from collections import Counter
from collections.abc import Callable
from datetime import UTC, datetime

from diagnose.case.events import Case, Complained, Noted
from diagnose.records.cases.case_book import CaseBook, KeptCase
from diagnose.records.store.opening import open_store
from diagnose.records.store.place import Place, find_place
from diagnose.records.store.store_problems import Clash, StoreProblem
from diagnose.training.records.store_check import check_everything
from rules.rulebase import RuleBase
from tests.postgresql import a_server

BENCHES = 3
STOPS = ("immediate", "fast") * 4
BETWEEN = 3.0


def now() -> datetime:
    return datetime.now(UTC)


class Bench(threading.Thread):
    """Writes notes into one case that all share, until told to stop."""

    def __init__(self, place: Place, rules: RuleBase, name: str, stopped: threading.Event) -> None:
        super().__init__(name=name)
        self._place, self._rules, self._stopped = place, rules, stopped
        self.kept: list[str] = []
        self.refused: list[str] = []
        self.wrong: BaseException | None = None

    def run(self) -> None:
        """Write; whatever is no word to a person is wrong."""
        try:
            self._write()
        except BaseException as error:
            self.wrong = error

    def _write(self) -> None:
        book = CaseBook(open_store(self._place, now), self._rules)
        shared, number = book.read(1), 0
        while not self._stopped.is_set():
            number += 1
            token = f"{self.name}-{number}"
            try:
                shared = self._note(book, shared, token)
                self.kept.append(token)
            except StoreProblem:
                self.refused.append(token)
                time.sleep(0.05)
        book.store.close()

    def _note(self, book: CaseBook, shared: KeptCase, token: str) -> KeptCase:
        while True:
            try:
                return book.record(shared, shared.case.with_event(Noted(token)))
            except Clash:  # another bench was first
                shared = book.read(1)


def test_a_server_that_is_stopped_under_load_loses_no_write(
    mower: RuleBase, tell: Callable[[str, str], None]
) -> None:
    with a_server() as server:
        place = find_place(server.new_database("stopped"), {})
        store = open_store(place, now, create=True)
        book = CaseBook(store, mower)
        book.begin(Case(events=(Complained("no-start"),)))
        stopped = threading.Event()
        benches = [Bench(place, mower, f"b{n}", stopped) for n in range(BENCHES)]
        for bench in benches:
            bench.start()
        for mode in STOPS:
            time.sleep(BETWEEN)
            server.stop(mode)
            time.sleep(0.5)
            server.start()
        time.sleep(BETWEEN)
        stopped.set()
        for bench in benches:
            bench.join(60)
        assert [bench.wrong for bench in benches] == [None] * BENCHES
        there = Counter(e.text for e in book.read(1).case.events if isinstance(e, Noted))
        kept = [token for bench in benches for token in bench.kept]
        refused = [token for bench in benches for token in bench.refused]
        assert set(there) <= {*kept, *refused}
        assert all(there[token] == 1 for token in kept)
        assert all(there[token] <= 1 for token in refused)
        assert refused
        assert all(bench.kept for bench in benches)
        check_everything(store, mower)
        store.close()
    half = sum(there[token] for token in refused)
    tell(
        "PostgreSQL stopped and started under three writers",
        f"{len(STOPS)} stops, half of them crashes: {len(kept)} writes kept and there once, "
        f"{len(refused)} refused, {half} of them there all the same, none twice",
    )
