"""Which cautions of a case still stand in full."""

from __future__ import annotations

import pytest

from diagnose.words.step_words import StepText
from tui.plain.cautions_once import CautionsOnce

WORDS = StepText("Leave it as it is", cautions=("Carry it.", "Let it cool."))


@pytest.mark.parametrize("step", ["blade-wobble", ""])
def test_what_was_read_on_a_page_of_its_own_is_not_read_first_again(step: str) -> None:
    """At any step: handing the bike over is about nothing, so that its place has no name."""
    once = CautionsOnce()
    assert once.fold(step, WORDS) == (WORDS, "")
    once.read_apart(WORDS)
    words, before = once.fold(step, WORDS)
    assert words.cautions == ()
    assert before == "2 cautions: v"


def test_what_was_shown_with_a_step_stands_in_full_there_and_is_counted_elsewhere() -> None:
    once = CautionsOnce()
    once.read("blade-wobble", WORDS)
    assert once.fold("blade-wobble", WORDS) == (WORDS, "")
    assert once.fold("", WORDS)[0].cautions == ()
