"""The end of a rider's interview in lines: a list to take along."""

from __future__ import annotations

from pathlib import Path

from diagnose.case.events import Asking
from diagnose.diagnosis import Diagnosis
from tests.mower_bikes import given_up, peopled_shop
from tui.plain.plain_interview import PlainInterview
from tui.terminal.text import WIDTH


def ended(diagnosis: Diagnosis) -> list[str]:
    """What is written where nothing more is typed."""
    written: list[str] = []

    def read(_prompt: str) -> str:
        raise EOFError

    PlainInterview(diagnosis, read, written.append).run()
    return written


def test_an_owner_gets_the_list_and_a_shop_the_summary(tmp_path: Path) -> None:
    garden = peopled_shop(tmp_path)
    owner = ended(Diagnosis(garden, given_up()))
    assert "Take the bike to a workshop, with the list" in owner
    for heading in ("IN THE RIDER'S WORDS", "SUSPECTED", "TO BE CHECKED, IN THIS ORDER"):
        assert heading in owner
    assert owner.index("IN THE RIDER'S WORDS") < owner.index("SUSPECTED")
    assert "How likely each is at work:" not in owner
    assert all(len(line) <= WIDTH for line in owner)
    shop = ended(Diagnosis(garden, given_up(Asking("shop"))))
    assert "How likely each is at work:" in shop
    assert "SUSPECTED" not in shop
