"""The card of a trainee, and the list of cases for the shop."""

from __future__ import annotations

import csv
import io
from datetime import UTC, date, datetime

import pytest
from pypdf import PdfReader

from diagnose.cards.blocks import Card
from diagnose.cards.rendering import Kind, card_bytes
from diagnose.training.certificate import TrainingFacts, training_card
from diagnose.training.course.exam import find_exam
from diagnose.training.desk import TrainingDesk
from diagnose.training.export import COLUMNS, export_csv
from diagnose.training.habits.trainees import Advised, work

NAMES = ('=HYPERLINK("http://x")', "<b>Bo</b> | *Ek*")
MADE = datetime(2026, 5, 2, tzinfo=UTC)


@pytest.fixture
def busy(desk: TrainingDesk) -> TrainingDesk:
    """Two trainees with names that are no names; one has done a lesson and an exam."""
    for name in NAMES:
        desk.trainees.add(name)
        work(desk.begin_lesson(name, desk.course.lesson("dead-1")), Advised())
        desk.after_case(name)
    sitting = desk.begin_sitting(NAMES[0], find_exam(desk.teaching, "short"))
    while (case := desk.next_exam_case(NAMES[0], sitting)) is not None:
        work(case, Advised())
    desk.end_sitting(NAMES[0], sitting)
    return desk


def card_for(desk: TrainingDesk, name: str) -> Card:
    person = desk.standing(name)
    return training_card(
        TrainingFacts(
            desk.rules, desk.guide, desk.course, person.trainee, person.states, person.progress,
            person.sat, person.ready, date(2026, 5, 2),
        )
    )  # fmt: skip


def text_of(card: Card, kind: Kind) -> str:
    content = card_bytes(card, kind, MADE)
    if kind == "pdf":
        return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages)
    return content.decode()


@pytest.mark.parametrize("kind", ["markdown", "html", "pdf"])
def test_the_card_says_plainly_what_it_is_not(busy: TrainingDesk, kind: Kind) -> None:
    text = " ".join(text_of(card_for(busy, NAMES[0]), kind).split())
    assert "This is no qualification, no licence and no certificate of competence." in text
    assert "It was earned on simulated bikes at a screen." in text
    assert "Short exam" in text
    assert text.index("no qualification") < text.index("Short exam")


def test_a_name_cannot_write_anything_but_itself(busy: TrainingDesk) -> None:
    card = card_for(busy, NAMES[1])
    assert "<b>Bo" not in text_of(card, "html")
    assert "&lt;b&gt;Bo&lt;/b&gt; | *Ek*" in text_of(card, "html")
    assert r"\<b\>Bo\</b\> \| \*Ek\*" in text_of(card, "markdown")


def test_the_same_card_gives_the_same_bytes(busy: TrainingDesk) -> None:
    card = card_for(busy, NAMES[0])
    assert card_bytes(card, "pdf", MADE) == card_bytes(card, "pdf", MADE)


def test_the_card_names_what_is_lacking_and_its_thresholds(busy: TrainingDesk) -> None:
    text = text_of(card_for(busy, NAMES[1]), "markdown")
    assert "## Not held ready yet" in text
    assert "no exam sat" in text
    assert "a mean of 70 over the last 3 cases with at most 0 let out unsafe" in text


def test_the_list_for_the_shop_has_a_row_per_case_and_runs_nothing(busy: TrainingDesk) -> None:
    people = [busy.standing(name) for name in NAMES]
    text = export_csv(people, busy.pack)
    rows = list(csv.DictReader(io.StringIO(text)))
    assert tuple(rows[0]) == COLUMNS
    assert [row["trainee"] for row in rows] == [f"'{NAMES[0]}"] * 3 + [NAMES[1]]
    assert [row["exam"] for row in rows] == ["", "short", "short", ""]
    assert float(rows[0]["total"]) >= 70 and rows[0]["passed"] == "yes"
    assert rows[0]["causes"] == "stale-fuel" and rows[0]["lesson"] == "dead-1"
    for row in rows:
        assert not any(cell[:1] in ("=", "+", "-", "@", "\t", "\r") for cell in row.values())
