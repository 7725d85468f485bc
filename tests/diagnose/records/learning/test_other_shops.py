"""What other shops' cases taught: a file of counts, kept apart, weighed and taken out again."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained, Corrected, Event, Rode
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.cases.closing import close, weigh_closing
from diagnose.records.learning.lessons import ProvenLesson
from diagnose.records.learning.other_shops import (
    Counts,
    behind_complaints,
    good_shop,
    good_weight,
    keep_counts,
    other_shops,
    read_counts,
    remove,
    unknown_in,
    weigh,
    weighed,
    write_counts,
)
from diagnose.records.learning.tally import Tally, kind_of_bike
from diagnose.records.store.opening import open_memory
from diagnose.records.store.shop_settings import put_in_shop
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import DamagedStore, NotFound
from rules.problems import BadInput
from rules.rulebase import RuleBase
from tests.clocks import Standing

SMALL = {"engine": "petrol", "size": "small"}
LARGE = {"engine": "petrol", "size": "large"}
DATA = {
    "badride_learned": 1,
    "shop": "Invented Mowers",
    "rules": "mower",
    "causes": {
        "plug-worn": {
            "cases": [{"bike": SMALL, "cases": 3}, {"bike": LARGE, "cases": 2}, {"bike": SMALL, "cases": 1}],
            "found": {"spark-seen": {"none": 4, "sparks": 1}},
            "behind": {"no-start": 6},
        },
        "stale-fuel": {"cases": [{"bike": SMALL, "cases": 2}], "behind": {"no-start": 1, "vibration/deck": 1}},
        "no-such-cause": {"cases": [{"bike": {}, "cases": 1}]},
    },
}  # fmt: skip
COUNTS = Counts.model_validate(DATA)


@pytest.fixture
def empty() -> Store:
    return open_memory(Standing())


def message(work: Callable[[], object], kind: type[Exception] = BadInput) -> str:
    with pytest.raises(kind) as caught:
        work()
    return str(caught.value)


def test_cases_are_added_up() -> None:
    assert COUNTS.cases == 9
    tally = COUNTS.tally
    assert tally.machines == {
        "plug-worn": {kind_of_bike(SMALL): 4, kind_of_bike(LARGE): 2},
        "stale-fuel": {kind_of_bike(SMALL): 2},
        "no-such-cause": {kind_of_bike({}): 1},
    }
    assert tally.states["plug-worn"] == {"spark-seen": {"none": 4, "sparks": 1}}
    assert tally.states["stale-fuel"] == {}
    assert COUNTS.behind() == {
        "no-start": {"plug-worn": 6, "stale-fuel": 1},
        "vibration/deck": {"stale-fuel": 1},
    }


def test_lessons_are_counted_by_complaint() -> None:
    def lesson(number: int, cause: str, *complaints: str) -> ProvenLesson:
        return ProvenLesson(number, cause, SMALL, {}, {}, complaints=complaints)

    lessons = [
        lesson(1, "plug-worn", "no-start"),
        lesson(2, "plug-worn", "no-start", "vibration/deck"),
        lesson(3, "no-fuel", "no-start"),
    ]
    assert behind_complaints(lessons) == {
        "no-start": {"plug-worn": 2, "no-fuel": 1},
        "vibration/deck": {"plug-worn": 1},
    }


def test_a_shops_own_cases_are_written_and_read(
    book: CaseBook, mower_assessor: Assessor, tmp_path: Path
) -> None:
    rules = mower_assessor.rules
    assert message(lambda: write_counts(book.store, rules, "Ours")) == (
        "there is nothing to pass on: no proven case in which something measured or seen spoke for "
        "the cause"
    )

    def prove(fix: str, machine: dict[str, str], *seen: Event) -> None:
        events = (Complained("no-start"), *seen, Corrected(fix), Rode("gone"))
        kept = book.begin(Case(machine, {}, events))
        closing = weigh_closing(rules, kept, cause="stale-fuel" if fix == "fill-up" else None)
        close(book, mower_assessor, kept, closing)

    prove("new-plug", {}, Answered("spark-seen", "none"))
    prove("new-plug", {}, Answered("spark-seen", "none"))
    prove(
        "new-plug",
        {"size": "large"},
        Answered("spark-seen", "none"),
        Answered("tank-look", "fresh"),
    )
    prove("fill-up", {}, Answered("tank-look", "stale"))
    prove("fill-up", {})  # nothing seen spoke for it
    text = write_counts(book.store, rules, "  Our   Shöp ")
    assert "Our Shöp" in text
    data = yaml.safe_load(text)
    assert list(data) == ["badride_learned", "shop", "rules", "causes"]
    assert data == {
        "badride_learned": 1,
        "shop": "Our Shöp",
        "rules": "mower",
        "causes": {
            "plug-worn": {
                "cases": [{"bike": SMALL, "cases": 2}, {"bike": LARGE, "cases": 1}],
                "found": {"spark-seen": {"none": 3}, "tank-look": {"fresh": 1}},
                "behind": {"no-start": 3},
            },
            "stale-fuel": {
                "cases": [{"bike": SMALL, "cases": 1}],
                "found": {"tank-look": {"stale": 1}},
                "behind": {"no-start": 1},
            },
        },
    }
    path = tmp_path / "counts.yaml"
    path.write_text(text, encoding="utf-8")
    assert read_counts(rules, path) == Counts.model_validate(data)


def test_causes_that_are_not_known_here_are_named(mower: RuleBase) -> None:
    assert unknown_in(mower, COUNTS) == ["no-such-cause"]


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (
            {"rules": "tractor"},
            "these counts are about the rule base 'tractor', and this shop works with 'mower'; "
            "`--pack` takes another",
        ),
        ({"badride_learned": 2}, "badride_learned"),
        ({"more": 1}, "more"),
        ({"shop": "x" * 41}, "is too long for the name of a shop; 40 letters do"),
        ({"causes": {"plug-worn": {"cases": []}}}, "causes.plug-worn.cases"),
        ({"causes": {"plug-worn": {"cases": [{"bike": {}, "cases": 0}]}}}, "cases"),
        ({"causes": {"plug-worn": {"cases": [{"bike": {}, "cases": 1_000_001}]}}}, "cases"),
    ],
)
def test_a_file_that_is_none_is_refused_with_its_place(
    mower: RuleBase, tmp_path: Path, change: dict[str, object], told: str
) -> None:
    path = tmp_path / "counts.yaml"
    data = json.loads(json.dumps({**DATA, **change}))  # nothing in it twice
    path.write_text(yaml.safe_dump(data, sort_keys=False), encoding="utf-8")
    said = message(lambda: read_counts(mower, path))
    assert told in said
    if "rules" in change:
        assert "counts.yaml:3:" in said and "error[learned] at rules" in said


def test_counts_are_kept_by_shop_weighed_and_taken_out(empty: Store) -> None:
    assert other_shops(empty) == []
    kept = keep_counts(empty, "  Zoe's  Mowers ", COUNTS, 0.5)
    assert (kept.name, kept.weight, kept.counts) == ("Zoe's Mowers", 0.5, COUNTS)
    about = COUNTS.model_copy(update={"rules": "tractor"})
    other = keep_counts(empty, "Abe", about, 1)
    assert other_shops(empty) == [other, kept]
    assert other_shops(empty, "mower") == [kept]
    again = weigh(empty, " ZOE'S mowers ", 0.25)
    assert (again.name, again.weight, again.counts) == ("Zoe's Mowers", 0.25, COUNTS)
    assert other_shops(empty, "mower") == [again]
    assert message(lambda: weigh(empty, "Zoe's Mover", 1), NotFound) == (
        'nothing was learned from a shop "Zoe\'s Mover"; did you mean "Zoe\'s Mowers"?'
    )
    assert message(lambda: remove(empty, "nobody at all"), NotFound) == (
        "nothing was learned from a shop 'nobody at all'; `badride learned` shows those there are"
    )
    assert remove(empty, "abe") == other
    assert other_shops(empty) == [again]


def test_counts_that_cannot_be_read_are_named(empty: Store) -> None:
    keep_counts(empty, "Abe", COUNTS, 1)
    put_in_shop(empty, "learned-from Zoe", "{}")
    assert message(lambda: other_shops(empty), DamagedStore) == (
        "what was learned from 'Zoe' cannot be read; `badride learned remove` takes it out, and "
        "importing its file again brings it back"
    )


@pytest.mark.parametrize("weight", [-0.01, 1.01])
def test_a_weight_is_a_share(empty: Store, weight: float) -> None:
    assert message(lambda: keep_counts(empty, "Abe", COUNTS, weight)) == (
        f"{weight:g} is no weight: 0 (a case of theirs counts nothing) to 1 (as much as ours)"
    )
    assert (good_weight(0), good_weight(1)) == (0, 1)


def test_a_shop_has_a_short_name() -> None:
    assert good_shop(" x" * 20) == "x " * 19 + "x"
    assert good_shop("x" * 40) == "x" * 40
    assert message(lambda: good_shop("x" * 41)) == (
        f"{'x' * 41!r} is too long for the name of a shop; 40 letters do"
    )


def test_a_case_of_theirs_counts_as_much_as_its_weight(empty: Store) -> None:
    own = Tally(
        {"plug-worn": {kind_of_bike(SMALL): 2}},
        {"plug-worn": {"spark-seen": {"none": 1}, "tank-look": {"fresh": 1}}},
    )
    half = keep_counts(empty, "Abe", COUNTS, 0.5)
    silent = keep_counts(empty, "Zoe", COUNTS, 0)
    assert weighed(own, [silent]) == own
    summed = weighed(own, [silent, half, half])
    assert summed.machines == {
        "plug-worn": {kind_of_bike(SMALL): 6, kind_of_bike(LARGE): 2},
        "stale-fuel": {kind_of_bike(SMALL): 2},
        "no-such-cause": {kind_of_bike({}): 1},
    }
    assert summed.states["plug-worn"] == {
        "spark-seen": {"none": 5, "sparks": 1},
        "tank-look": {"fresh": 1},
    }
    assert own.machines == {"plug-worn": {kind_of_bike(SMALL): 2}}  # left as it was
    assert summed.cases == 11
