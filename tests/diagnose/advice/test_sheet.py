"""The case as a list to work down."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.advice.sheet import CaseSheet, RowKind, SheetRow, sheet
from diagnose.case.events import (
    Answered,
    Case,
    Complained,
    Corrected,
    Declined,
    read_answer,
    read_target,
)
from rules.loading.loader import load_pack
from rules.rulebase import RuleBase

MakeCase = Callable[..., Case]
REAR = Complained("harsh", "rear")


def rows(shop: Assessor, case: Case) -> Sequence[SheetRow]:
    return sheet(shop, shop.assess(case)).rows


def of_kind(shop: Assessor, case: Case, kind: str) -> list[str]:
    return [row.about for row in rows(shop, case) if row.kind == kind]


@pytest.fixture(scope="module")
def off_twice(offroad: RuleBase) -> Case:
    """Rear tyre and chain measured against the manual's figures, both off."""
    targets = dict(
        read_target(offroad, offroad.observations[name].target or "", figure)
        for name, figure in (("chain-slack", "35 mm"), ("rear-tyre-gauge", "13 psi"))
    )
    readings = (("chain-slack", "5 mm"), ("rear-tyre-gauge", "25 psi"))
    said = (read_answer(offroad, name, text) for name, text in readings)
    return Case({}, targets, (REAR, *said))


def test_nothing_without_a_complaint(mower_assessor: Assessor) -> None:
    assert rows(mower_assessor, Case()) == ()


def test_the_next_step_leads_and_every_open_check_of_a_suspect_is_there(
    mower: RuleBase, mower_assessor: Assessor, make_case: MakeCase
) -> None:
    case = make_case(mower, "no-start")
    assert of_kind(mower_assessor, case, "next") == [mower_assessor.assess(case).step.target]
    settles = of_kind(mower_assessor, case, "settles")
    assert set(settles) == {
        "stood-all-winter",
        "plug-gap-reading",
        "spark-seen",
        "carburettor-inside",
    }


def test_a_check_names_the_suspects_it_settles_the_likeliest_first(
    mower: RuleBase, mower_assessor: Assessor, make_case: MakeCase
) -> None:
    case = make_case(mower, "no-start")
    belief = mower_assessor.assess(case).belief
    floor = mower.policy.outside_floor
    for row in rows(mower_assessor, case):
        chances = [chance for _, chance in row.settles]
        assert chances == sorted(chances, reverse=True)
        for cause, chance in row.settles:
            index = mower_assessor.model.network.cause_index[cause]
            assert chance == belief.open_marginal[index]
            assert floor <= chance < mower.policy.settled


def test_what_opens_something_stands_below_what_does_not(
    edited_pack: Callable[..., Path], make_case: MakeCase
) -> None:
    """However cheap it is."""
    pack = edited_pack("    minutes: 30\n    opens: true", "    minutes: 1\n    opens: true")
    shop = Assessor(load_pack(pack))
    assert of_kind(shop, make_case(shop.rules, "no-start"), "settles")[-1] == "carburettor-inside"


@pytest.mark.parametrize("complaint", [REAR, Complained("harsh", "front"), Complained("pushing")])
def test_what_pays_stands_before_what_does_not(
    offroad_assessor: Assessor, complaint: Complained
) -> None:
    made = rows(offroad_assessor, Case(events=(complaint,)))
    nets = [max(row.net, 0) for row in made if row.kind == "settles" and not row.opens]
    assert len(nets) > 5 and nets == sorted(nets, reverse=True)
    assert all(row.net > 0 for row in made if row.kind == "useful")


def test_what_was_found_is_on_top_the_next_step_first(
    offroad_assessor: Assessor, off_twice: Case
) -> None:
    made = rows(offroad_assessor, off_twice)
    found = [row for row in made if row.kind == "found"]
    assert [row.about for row in found] == ["set-rear-tyre-pressure", "set-chain-slack"]
    assert list(made[:2]) == found
    assert [fault.cause for row in found for fault in row.faults] == [
        "rear-tyre-pressure-high",
        "chain-too-tight",
    ]
    assert [row.minutes for row in found] == [
        offroad_assessor.rules.corrections[row.about].minutes for row in found
    ]


def test_what_was_found_is_no_suspect(offroad_assessor: Assessor, off_twice: Case) -> None:
    found = {"rear-tyre-pressure-high", "chain-too-tight"}
    for row in rows(offroad_assessor, off_twice):
        assert found.isdisjoint(cause for cause, _ in row.settles)


def test_what_was_put_right_or_declined_is_found_no_more(
    offroad_assessor: Assessor, off_twice: Case
) -> None:
    after = off_twice.with_event(Corrected("set-rear-tyre-pressure"))
    assert of_kind(offroad_assessor, after, "found") == ["set-chain-slack"]
    after = after.with_event(Declined("set-chain-slack"))
    assert of_kind(offroad_assessor, after, "found") == []


def test_cautions_go_with_the_row(mower: RuleBase, mower_assessor: Assessor) -> None:
    """Its own, and before work at the machine those that rules have raised."""
    shakes = Case(events=(Complained("vibration", "deck"),))
    first = rows(mower_assessor, shakes)[0]
    assert (first.about, first.cautions) == ("blade-wobble", ("plug-lead",))
    said = [("stood-all-winter", "yes"), ("tank-look", "stale")]
    events = tuple(read_answer(mower, *pair) for pair in said)
    made = rows(mower_assessor, Case(events=(Complained("no-start"), *events)))
    work = [row for row in made if row.is_work]
    assert work and all("clear-ground" in row.cautions for row in work)


def test_what_was_raised_stays_with_work_and_with_checks_only_while_it_is_the_latest(
    mower: RuleBase, mower_assessor: Assessor
) -> None:
    """As on the step itself: work comes after every caution that stands."""
    shop, told = mower_assessor, [("stood-all-winter", "yes"), ("tank-look", "stale")]
    for more, latest in (([], True), ([("hit-a-stone", "no")], False)):
        said = tuple(read_answer(mower, *pair) for pair in [*told, *more])
        case = Case(events=(Complained("no-start"), *said))
        assert "clear-ground" in shop.assess(case).cautions
        made = [row for row in rows(shop, case) if row.kind != "said"]
        assert {row.is_work for row in made} == {True, False}
        assert all(("clear-ground" in row.cautions) is (row.is_work or latest) for row in made)


def test_nobody_is_sent_for_a_ride_that_is_forbidden(offroad_assessor: Assessor) -> None:
    rules = offroad_assessor.rules

    def taking_a_ride(case: Case) -> list[str]:
        checks = [row.about for row in rows(offroad_assessor, case) if row.kind != "said"]
        entries = {name: rules.observations[name] for name in checks if name in rules.observations}
        return [
            name
            for name, entry in entries.items()
            if entry.kind == "ride-test" or "ride-test" in entry.cautions
        ]

    look = next(
        n for n, entry in rules.observations.items() if "fork-clamp-cracked" in entry.settles
    )
    harsh = Case(events=(REAR,))
    assert taking_a_ride(harsh)
    cracked = harsh.with_event(read_answer(rules, look, "cracked"))
    assert offroad_assessor.assess(cracked).bans
    assert taking_a_ride(cracked) == []
    assert of_kind(offroad_assessor, cracked, "settles")


def test_what_was_said_is_last_the_latest_first_and_what_nobody_knew_below(
    mower: RuleBase, mower_assessor: Assessor
) -> None:
    events = (
        Complained("no-start"),
        Answered("stood-all-winter", state="no"),
        Answered("tank-look"),
        Answered(
            "plug-gap-reading", reading=read_answer(mower, "plug-gap-reading", "0.6 mm").reading
        ),
    )
    case = Case(events=events)
    made = rows(mower_assessor, case)
    said = [row for row in made if row.kind == "said"]
    assert [row.about for row in said] == ["plug-gap-reading", "stood-all-winter", "tank-look"]
    assert list(made[-3:]) == said
    assert [case.events[row.event] for row in said] == [events[3], events[1], events[2]]


def test_an_answer_given_twice_is_one_row_of_the_latest(mower_assessor: Assessor) -> None:
    twice = (Answered("tank-look"), Answered("tank-look", state="fresh"))
    case = Case(events=(Complained("no-start"), *twice))
    assert [row.event for row in rows(mower_assessor, case) if row.kind == "said"] == [2]


def _sheet(*abouts: str, said: Sequence[str] = (), first: str = "settles") -> CaseSheet:
    made = [SheetRow("settles", about, 1.0) for about in abouts]
    if first == "next":
        made[0] = SheetRow("next", abouts[0], 1.0)
    return CaseSheet(
        (*made, *(SheetRow("said", about, 1.0, event=n) for n, about in enumerate(said)))
    )


@pytest.mark.parametrize(
    ("before", "at", "after", "expected"),
    [
        # the row is still there, elsewhere
        (_sheet("a", "b", "c"), 1, _sheet("b", "a", "c"), 0),
        # it was filled: the row that followed
        (_sheet("a", "b", "c"), 1, _sheet("c", "a", said=["b"]), 0),
        # not where the sheet begins
        (_sheet("a", "b", "c"), 1, _sheet("a", "c", said=["b"]), 1),
        # the first of those that followed which is left
        (_sheet("a", "b", "c", "d"), 1, _sheet("a", "d", said=["b", "c"]), 1),
        # none that followed is left
        (_sheet("a", "b"), 1, _sheet("d", "a", said=["b"]), 0),
        # it was the next step: what comes next now
        (_sheet("a", "b", first="next"), 0, _sheet("c", "b", said=["a"], first="next"), 0),
        # something that was said stays marked
        (_sheet("a", said=["x", "y"]), 2, _sheet("a", "b", said=["x", "y"]), 3),
        # and where it was taken back, the start
        (_sheet("a", said=["x"]), 1, _sheet("x", "a"), 0),
        (_sheet("a"), 0, CaseSheet(()), 0),
    ],
)
def test_the_mark_stays_on_a_sensible_row(
    before: CaseSheet, at: int, after: CaseSheet, expected: int
) -> None:
    assert after.place_after(before, at) == expected


def test_a_sheet_begins_at_what_comes_next() -> None:
    kinds: tuple[RowKind, ...] = ("found", "found", "next", "settles")
    made = CaseSheet(tuple(SheetRow(kind, str(n), 1.0) for n, kind in enumerate(kinds)))
    assert made.start == 2
    assert _sheet("a", "b").start == 0
    assert CaseSheet(()).start == 0
