"""The rows of the sheet in words."""

from __future__ import annotations

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.advice.sheet import SheetRow, sheet
from diagnose.case.events import Case, Complained, Corrected, read_answer, read_target
from diagnose.words.sheet_words import RowText, next_text, row_card, row_label, row_text

REAR = Complained("harsh", "rear")


def row_about(shop: Assessor, case: Case, about: str) -> SheetRow:
    return next(row for row in sheet(shop, shop.assess(case)).rows if row.about == about)


@pytest.fixture
def hard_tyre(offroad_assessor: Assessor) -> Case:
    rules = offroad_assessor.rules
    target = read_target(rules, "rear-tyre-pressure", "13 psi")
    return Case({}, dict([target]), (REAR, read_answer(rules, "rear-tyre-gauge", "25 psi")))


def test_a_fault_found_has_its_figure_and_what_it_should_be(
    offroad_assessor: Assessor, hard_tyre: Case
) -> None:
    row = row_about(offroad_assessor, hard_tyre, "set-rear-tyre-pressure")
    words = row_text(offroad_assessor.rules, hard_tyre, row)
    assert words == RowText(
        "Rear tyre pressure too high",
        "Rear tyre pressure too high",
        "25 psi → 13 psi",
        "3 min",
        "put right",
    )
    assert row_label(offroad_assessor.rules, row).startswith("Put right, about 3 min")
    card = row_card(offroad_assessor.rules, hard_tyre, row)
    assert card.note.startswith("Found: Rear tyre pressure, cold: 25 psi")
    assert card.cautions and card.how


def test_a_fault_that_was_seen_says_what_was_seen(offroad_assessor: Assessor) -> None:
    rules = offroad_assessor.rules
    look = next(
        o for o, entry in rules.observations.items() if "fork-clamp-cracked" in entry.settles
    )
    case = Case(events=(REAR, read_answer(rules, look, "cracked")))
    words = row_text(rules, case, row_about(offroad_assessor, case, "replace-fork-clamps"))
    assert (words.title, words.value) == ("Fork clamp cracked", "A crack")


def test_a_check_says_what_it_settles(mower_assessor: Assessor) -> None:
    rules, case = mower_assessor.rules, Case(events=(Complained("no-start"),))
    row = row_about(mower_assessor, case, "spark-seen")
    chance = f"{row.settles[0][1] * 100:.0f} %"
    assert row_text(rules, case, row) == RowText(
        "Does the plug spark?", "Does the plug spark?", "", "8 min", f"{chance} plug worn", chance
    )
    assert row_card(rules, case, row).note == f"Settles or confirms: Plug worn ({chance})."


def test_what_was_said_has_its_answer(mower_assessor: Assessor) -> None:
    rules = mower_assessor.rules
    case = Case(events=(Complained("no-start"), read_answer(rules, "tank-look", "stale")))
    words = row_text(rules, case, row_about(mower_assessor, case, "tank-look"))
    asked = "Is there fresh fuel in the tank?"
    assert words == RowText(asked, asked, "Smells stale", "", "")


def test_a_check_is_told_in_few_words_where_the_pack_has_them(offroad_assessor: Assessor) -> None:
    """From the pack, from a question cut down to a tick, or from a title up to its first break."""
    rules, case = offroad_assessor.rules, Case(events=(Complained("harsh", "rear"),))
    told = {
        name: row_text(rules, case, SheetRow("useful", name, 1.0)).short
        for name in ("rear-push-down-sticks", "changed-rear-wheel-out", "rear-tyre-gauge")
    }
    assert list(told.values()) == [
        "Rear sticks, pushed down slowly", "Rear wheel out", "Rear tyre pressure",
    ]  # fmt: skip


def test_what_comes_next_is_said_where_it_is_no_row(mower_assessor: Assessor) -> None:
    rules, case = mower_assessor.rules, Case(events=(Complained("no-start"),))
    for events, expected in (((), ""), ((Corrected("fill-up"),), "Next: Ride to prove it")):
        now = Case(events=(*case.events, *events))
        assessment = mower_assessor.assess(now)
        made = sheet(mower_assessor, assessment)
        text = next_text(rules, now, assessment.step, made)
        assert text.startswith(expected) and bool(text) == bool(expected)
