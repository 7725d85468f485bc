"""The pieces the screens are made of: signs, wrapping, offers."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Case, Complained
from diagnose.diagnosis import Diagnosis
from diagnose.words.bike_words import bike_line
from diagnose.words.chances import change_mark
from tui.app.start import status_words
from tui.plain.offers import offers
from tui.terminal.glyphs import ASCII, UNICODE, knows_unicode, spelt_in_ascii
from tui.widgets.hanging_text import hanging


@pytest.mark.parametrize(
    ("environment", "expected"),
    [
        ({}, False),
        ({"LANG": "C", "LC_CTYPE": "C.UTF-8"}, False),
        ({"LANG": "en_GB.UTF-8"}, True),
        ({"LANG": "en_GB.UTF-8", "LC_ALL": "C"}, False),
        ({"LC_CTYPE": "en_GB.utf8"}, True),
    ],
)
def test_the_locale_decides_about_unicode(environment: dict[str, str], expected: bool) -> None:
    """What Python sets by itself in the C locale does not count."""
    assert knows_unicode(environment) is expected


@pytest.mark.parametrize("glyphs", [UNICODE, ASCII])
def test_a_bar_shows_what_is_little_and_leaves_a_gap_for_what_is_not_certain(
    glyphs: object,
) -> None:
    """Never empty above zero, never full below one."""
    for share, filled in ((0.0, 0), (0.001, 1), (0.5, 5), (0.999, 9), (1.0, 10)):
        full, empty = glyphs.bar(share, 10)  # type: ignore[attr-defined]
        assert (len(full), len(empty)) == (filled, 10 - filled)


@pytest.mark.parametrize("text", ["17 N·m", "20 °C", "“x”…", "日本", "│█░▔", "plain"])
def test_ascii_spelling_keeps_the_width(text: str) -> None:
    """One cell stays one cell."""
    from rich.cells import cell_len

    spelt = spelt_in_ascii(text)
    assert spelt.isascii()
    assert len(spelt) == cell_len(text)


def test_wrapped_lines_hang_under_their_beginning() -> None:
    """Numbers and dashes stand out; an indented line is set in further."""
    assert hanging("1. one two three", 10) == ["1. one two", "   three"]
    assert hanging("- one two", 7) == ["- one", "  two"]
    assert hanging("  one two", 7) == ["  one", "    two"]
    assert hanging("up to 66 %", 9) == ["up to", "66 %"]
    assert hanging("", 10) == [""]


def test_small_moves_have_no_mark() -> None:
    """A mark is in words."""
    assert [change_mark(by) for by in (0.124, -0.03, 0.004)] == ["up 12", "down 3", ""]


def test_assumed_traits_are_marked(mower_assessor: Assessor) -> None:
    """All, some or none assumed."""
    rules = mower_assessor.rules
    assert "rules of thumb" in bike_line(rules, Case())
    assert bike_line(rules, Case({"size": "large"})) == "Large; 1 more assumed, rules of thumb"
    both = Case({"size": "large", "engine": "petrol"})
    assert "assumed" not in bike_line(rules, both, "Old")


def test_every_step_offers_something_with_a_key_of_its_own(mower_assessor: Assessor) -> None:
    """Over a whole case."""
    diagnosis = Diagnosis(mower_assessor)
    diagnosis.add(Complained("no-start"))
    for _ in range(12):
        step = diagnosis.assessment.step
        found = offers(mower_assessor.rules, diagnosis.case, step)
        keys = [offer.key for offer in found]
        assert keys
        assert len(keys) == len(set(keys))
        first = next((offer.event for offer in found if offer.event), None)
        if first is None:
            return
        diagnosis.add(first)


def test_two_answers_that_clash_are_offered_again(mower_assessor: Assessor) -> None:
    """Each by its number, and that both stand."""
    from diagnose.case.events import Answered, read_answer

    case = Case(
        {},
        {},
        (
            Complained("no-start"),
            Answered("spark-seen", state="sparks"),
            read_answer(mower_assessor.rules, "plug-gap-reading", "4 mm"),
        ),
    )
    step = mower_assessor.assess(case).step
    assert step.kind == "check-again"
    found = offers(mower_assessor.rules, case, step)
    assert [offer.opens for offer in found] == ["answer-again", "answer-again", ""]
    assert "now: 4 mm" in found[1].label


def test_how_much_was_learned_stands_in_one_line(offroad_assessor: Assessor) -> None:
    """Whole, in the box of the first screen on 80 columns."""
    for taught, said in ((1, "1 proven case."), (999, "999 proven cases.")):
        shop = SimpleNamespace(rules=offroad_assessor.rules, taught_by=taught, keeps=False)
        line, _ = status_words(shop).splitlines()  # type: ignore[arg-type]
        assert line.endswith(f"taught by {said}")
        assert len(line) <= 72
