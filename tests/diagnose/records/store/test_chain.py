"""Entries are chained: what was taken out, cut off, changed or emptied shows, and work goes on."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

from diagnose.case.events import Answered, Case, Complained, Noted
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_journal import RideEntry
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.store.backup import back_up, restore
from diagnose.records.store.chain.damage import damage_in
from diagnose.records.store.opening import open_memory
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import DamagedStore
from diagnose.training.records.store_check import look_through
from rules.rulebase import RuleBase
from tests.clocks import Standing


@pytest.fixture
def filled(book: CaseBook, bikes: BikeBook) -> Store:
    """Two cases of five entries, and a bike that was ridden three times."""
    bikes.add("Demo", [RideEntry(on=date(2026, 4, day), hours=2) for day in (1, 2)])
    bikes.append("Demo", [RideEntry(on=date(2026, 4, 9), hours=2)])
    for _ in range(2):
        kept = book.begin(
            Case(events=(Complained("no-start"), Answered("tank-look", "stale"))), "Demo"
        )
        for words in ("one", "two"):
            kept = book.record(kept, kept.case.with_event(Noted(words)))
    return book.store


def spoil(store: Store, *statements: str) -> None:
    with closing(sqlite3.connect(str(store.place.path))) as raw, raw:
        for statement in statements:
            raw.execute(statement)


def found(store: Store) -> list[str]:
    with store.reading() as connection:
        return [f"{one.where}: {one.what}" for one in damage_in(connection)]


def test_a_sound_store_has_no_damage(filled: Store, mower: RuleBase) -> None:
    assert found(filled) == []
    assert look_through(filled, mower).damage == ()


@pytest.mark.parametrize(
    ("statements", "told"),
    [
        (["DELETE FROM case_entries WHERE case_id = 2 AND seq = 3"], ["case 2: entry 3 is missing"]),
        (["DELETE FROM case_entries WHERE case_id = 2 AND seq IN (2, 3)"], ["case 2: entries 2 to 3 are missing"]),
        (["DELETE FROM case_entries WHERE case_id = 1 AND seq > 3"], ["case 1: entries 4 to 5 are missing from its end"]),
        (["DELETE FROM case_entries WHERE case_id = 1"], ["case 1: it was emptied: all 5 entries are gone"]),
        (["DELETE FROM case_entries WHERE case_id = 1", "DELETE FROM cases WHERE id = 1"], ["case 1: it is gone, entries and all"]),
        (["DELETE FROM cases WHERE id = 2"], ["case 2: it is gone, with 5 entries left of it"]),
        (["UPDATE case_entries SET body = replace(body, 'stale', 'empty') WHERE case_id = 2 AND seq = 3"], ["case 2: changed since it was written: entry 3"]),
        (["UPDATE case_entries SET at = '2020-01-01T00:00:00.000000Z' WHERE case_id = 1 AND seq = 5"], ["case 1: changed since it was written: entry 5"]),
        (["DELETE FROM bike_entries WHERE seq = 2"], ["bike 1 (Demo): entry 2 is missing"]),
        (["UPDATE cases SET head = 'x' WHERE id = 1"], ["case 1: it says it has 5 entries, and has others"]),
        (["UPDATE cases SET entries = 'many' WHERE id = 1"], ["case 1: it says it has 'many' entries"]),
        (
            ["DELETE FROM case_entries WHERE case_id = 1 AND seq = 2", "UPDATE case_entries SET body = '{}' WHERE case_id = 2 AND seq = 2",
             "DELETE FROM bike_entries"],
            ["bike 1 (Demo): it was emptied: all 3 entries are gone", "case 1: entry 2 is missing", "case 2: changed since it was written: entry 2"],
        ),
    ],
)  # fmt: skip
def test_damage_is_named_with_its_case(
    filled: Store, statements: list[str], told: list[str]
) -> None:
    spoil(filled, *statements)
    assert found(filled) == told


def advice(store: Store) -> list[str]:
    with store.reading() as connection:
        return [str(one) for one in damage_in(connection)]


BACKUP = "a backup from before has it: `badride restore BACKUP --store NEWFILE`"


def test_damage_says_what_there_is_to_do(filled: Store) -> None:
    """Where something is lost a backup has it; what was changed is held against what was printed."""
    spoil(
        filled,
        "DELETE FROM bike_entries WHERE seq = 2",
        "DELETE FROM case_entries WHERE case_id = 1 AND seq = 5",
        "UPDATE case_entries SET body = '{}' WHERE case_id = 2 AND seq IN (2, 3)",
        "INSERT INTO trainees (id, name, name_key, archived, made_at, changed_at, entries, head) "
        "VALUES (1, 'Ann', 'ann', 0, '', '', 2, 'x')",
        "INSERT INTO attempts (id, trainee_id, pack, scenario, state, began_at, changed_at, entries, head)"
        " VALUES (1, 1, 'mower', 'x', 'open', '', '', 3, 'x')",
    )
    assert advice(filled) == [
        f"bike 1 (Demo): entry 2 is missing. `badride bike show 'Demo' --log` shows what stands there; {BACKUP}",
        f"case 1: entry 5 is missing from its end. `badride cases show 1 --journal` shows what stands there; {BACKUP}",
        "case 2: changed since it was written: entry 2, 3. `badride cases show 2 --journal` shows what stands there; "
        "compare it with a card or a backup",
        f"trainee 1 (Ann): it was emptied: all 2 entries are gone. `badride trainee show 'Ann'` shows what stands there; {BACKUP}",
        f"training case 1: it was emptied: all 3 entries are gone. Practice goes on without it; {BACKUP}",
    ]


def test_several_gaps_and_strange_cells_are_named(filled: Store, book: CaseBook) -> None:
    for _ in range(4):
        book.begin(Case(events=(Complained("no-start"),)), None)
    spoil(
        filled,
        "DELETE FROM case_entries WHERE case_id IN (1, 3, 4)",
        "DELETE FROM cases WHERE id IN (1, 3, 4)",
        "UPDATE case_entries SET seq = 'a number that is none at all' WHERE case_id = 2 AND seq = 5",
        "UPDATE cases SET entries = 4 WHERE id = 2",
        "UPDATE cases SET entries = 'so many that nobody counts' WHERE id = 5",
        "UPDATE cases SET entries = 9 WHERE id = 6",
    )
    told = advice(filled)
    assert [line.partition(". ")[0] for line in told] == [
        "case 2: it has an entry numbered 'a number that is non'",
        "case 2: it says it has 4 entries, and has others",
        "case 5: it says it has 'so many that nobody ' entries",
        "case 6: entries 3 to 9 are missing from its end",
        "case 1: it is gone, entries and all",
        "case 3 to 4: it is gone, entries and all",
    ]
    assert told[-1] == f"case 3 to 4: it is gone, entries and all. A{BACKUP[1:]}"


def test_of_many_changed_entries_twenty_are_named(book: CaseBook) -> None:
    kept = book.begin(Case(events=(Complained("no-start"),)), None)
    for number in range(22):
        kept = book.record(kept, kept.case.with_event(Noted(str(number))))
    named = ", ".join(str(number) for number in range(2, 22))
    spoil(book.store, "UPDATE case_entries SET kind = 'x' WHERE seq BETWEEN 2 AND 21")
    assert found(book.store) == [f"case 1: changed since it was written: entry {named}"]
    spoil(book.store, "UPDATE case_entries SET kind = 'x' WHERE seq = 23")
    assert found(book.store) == [f"case 1: changed since it was written: entry {named} and 1 more"]


def test_work_goes_on_after_a_loss_and_the_loss_still_shows(filled: Store, mower: RuleBase) -> None:
    spoil(filled, "DELETE FROM case_entries WHERE case_id = 1 AND seq = 5")
    spoil(filled, "DELETE FROM case_entries WHERE case_id = 2 AND seq = 3")
    book = CaseBook(filled, mower)
    for number in (1, 2):
        assert book.note(number, "later").case.events[-1] == Noted("later")
        assert book.note(number, "later still").case.events[-1] == Noted("later still")
    assert found(filled) == ["case 1: entry 5 is missing", "case 2: entry 3 is missing"]


def test_what_a_list_says_of_a_case_is_held_against_its_journal(
    filled: Store, mower: RuleBase
) -> None:
    spoil(filled, "UPDATE cases SET state = 'closed', outcome = 'proven' WHERE id = 2")
    (damage,) = look_through(filled, mower).damage
    assert damage.where == "case 2"
    assert "listed as proven, and its journal says open" in damage.what


def test_a_damaged_backup_is_refused_by_case_unless_it_is_wanted(
    filled: Store, tmp_path: Path
) -> None:
    path = tmp_path / "backup.sqlite"
    spoil(filled, "DELETE FROM case_entries WHERE case_id = 2 AND seq = 3")
    back_up(filled, path)
    fresh = open_memory(Standing())
    with pytest.raises(DamagedStore, match="case 2: entry 3 is missing"):
        restore(fresh, path)
    assert found(fresh) == []
    done = restore(fresh, path, damaged=True)
    assert [one.where for one in done.damage] == ["case 2"]
    assert done.sizes["case_entries"] == 9


def test_a_case_that_was_empty_before_entries_were_chained_shows(
    filled: Store, mower: RuleBase
) -> None:
    spoil(
        filled,
        "DELETE FROM case_entries WHERE case_id = 1",
        "UPDATE cases SET entries = 0, head = '' WHERE id = 1",
    )
    assert found(filled) == ["case 1: it has no entries"]


def test_digests_do_not_depend_on_what_json_calls_equal(filled: Store) -> None:
    """An entry whose body says the same in other letters is a changed entry."""
    with filled.reading() as connection:
        (body,) = connection.exec_driver_sql(
            "SELECT body FROM case_entries WHERE case_id = 1 AND seq = 2"
        ).scalars()
    other = json.dumps(json.loads(body), indent=1).replace("'", "")
    with filled.engine.connect() as connection:
        connection.exec_driver_sql(
            "UPDATE case_entries SET body = ? WHERE case_id = 1 AND seq = 2", (other,)
        )
        connection.commit()
    assert found(filled) == ["case 1: changed since it was written: entry 2"]
