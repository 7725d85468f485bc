"""One of several processes that write to one store as fast as they can. Run by the tests."""

from __future__ import annotations

import json
import random
import sys
import time
from datetime import UTC, date, datetime

from diagnose.case.events import Answered, Case, Complained, Noted
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_journal import RideEntry
from diagnose.records.cases.case_book import CaseBook, KeptCase
from diagnose.records.store.opening import open_store
from diagnose.records.store.place import find_place
from diagnose.records.store.store_problems import Clash
from rules.loading.loader import load_pack
from tests import places

PACK = places.MOWER
DAY = date(2026, 5, 1)


def note(book: CaseBook, kept: KeptCase, token: str) -> tuple[KeptCase, int]:
    """Add a note, reading the case again after every clash."""
    clashes = 0
    while True:
        try:
            return book.record(kept, kept.case.with_event(Noted(token))), clashes
        except Clash:
            clashes += 1
            kept = book.read(kept.id)


def main() -> None:
    """Called with WHERE NAME SECONDS; prints what was committed as JSON."""
    where, name, seconds = sys.argv[1], sys.argv[2], float(sys.argv[3])
    store = open_store(find_place(where, {}), lambda: datetime.now(UTC))
    book, bikes = CaseBook(store, load_pack(PACK)), BikeBook(store)
    rng = random.Random(name)
    shared = book.read(1)
    own: KeptCase | None = None
    told: dict[str, list[str]] = {"shared": [], "own": [], "rides": [], "cases": []}
    clashes = number = 0
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        number += 1
        token = f"{name}-{number}"
        kind = rng.random()
        if own is None or kind < 0.05:
            own = book.begin(Case(events=(Complained("no-start"), Noted(token))), "Shared")
            told["cases"].append(f"{own.id}:{token}")
        elif kind < 0.45:
            shared, more = note(book, shared, token)
            clashes += more
            told["shared"].append(token)
        elif kind < 0.85:
            own = book.record(
                own, own.case.with_event(Answered("tank-look", "stale")).with_event(Noted(token))
            )
            told["own"].append(f"{own.id}:{token}")
        else:
            bikes.append("Shared", [RideEntry(on=DAY, hours=1, note=token)])
            told["rides"].append(token)
    print(json.dumps({**told, "clashes": clashes}))


if __name__ == "__main__":
    main()
