"""The sheet line by line."""

from __future__ import annotations

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Complained, Corrected, read_answer
from tests.tui.plain.playing import play
from tui.terminal.text import WIDTH

DEAD = ("dead", "1", "s")


def test_a_number_and_an_answer_fill_a_row(mower_assessor: Assessor) -> None:
    """By key, by the words of the answer, and as a reading with or without its unit."""
    text, interview = play(mower_assessor, *DEAD, "1 1", "1 no", "", "q")
    assert "NEXT:\n   1  Is there fresh fuel in the tank? 1 2 3 ? (1 min" in text
    assert interview.case.events[1] == Answered("tank-look", state="fresh")
    text, interview = play(mower_assessor, *DEAD, "3 0.9", "", "q")
    gap = read_answer(mower_assessor.rules, "plug-gap-reading", "0.9 mm")
    assert interview.case.events == (Complained("no-start"), gap)
    _, interview = play(mower_assessor, *DEAD, "1 smells stale", "", "q")
    assert interview.case.events[1] == Answered("tank-look", state="stale")
    assert all(len(line) <= WIDTH for line in text.splitlines())


def test_a_number_alone_shows_the_row_whole(mower_assessor: Assessor) -> None:
    text, interview = play(mower_assessor, *DEAD, "3", "", "q")
    assert "Measure, about 6 min:\nPlug gap:\n" in text
    assert "Settles or confirms: Plug worn" in text
    assert "A figure in mm" in text
    assert interview.case.events == (Complained("no-start"),)


def test_a_caution_is_read_before_its_row_is_filled(mower_assessor: Assessor) -> None:
    text, interview = play(mower_assessor, "shakes", "1", "1", "s", "1 n", "", "q")
    assert interview.case.events == (Complained("vibration", "deck"),)
    assert "Not taken yet" in text and "CAUTION: Pull the plug lead off" in text
    _, interview = play(mower_assessor, "shakes", "1", "1", "s", "1 n", "1 n", "", "q")
    assert interview.case.events[1:] == (Answered("blade-wobble", state="no"),)


def test_work_is_done_once_its_steps_were_shown(mower_assessor: Assessor) -> None:
    lines = (*DEAD, "1 3", "1 f", "1 f", "", "q")
    text, interview = play(mower_assessor, *lines)
    assert text.index("Not taken yet") < text.index("Step 2: Fill it.")
    assert interview.case.events[1:] == (Answered("tank-look", state="empty"), Corrected("fill-up"))
    assert "Next: Ride to prove it" in text


def test_what_was_said_is_changed_in_its_place(mower_assessor: Assessor) -> None:
    """The last row; back takes the change back."""
    text, interview = play(mower_assessor, *DEAD, "1 ?", "5 1", "", "q")
    assert "SAID:\n   5  Is there fresh fuel in the tank? don't know\n" in text
    stood = [event for event in interview.case.events if isinstance(event, Answered)]
    assert stood == [Answered("tank-look", state="fresh")]
    _, interview = play(mower_assessor, *DEAD, "1 ?", "5 1", "u", "", "q")
    assert interview.case.events[1:] == (Answered("tank-look"),)


def test_what_is_no_row_and_no_answer_is_refused_in_words(mower_assessor: Assessor) -> None:
    text, interview = play(mower_assessor, *DEAD, "99 1", "zz", "1 purple", "3 9 psi", "", "q")
    assert interview.case.events == (Complained("no-start"),)
    for words in ("'99 1' does nothing", "'zz' does nothing", "'purple' does nothing", "psi"):
        assert words in text


def test_what_forbids_riding_stands_above_the_list(mower_assessor: Assessor) -> None:
    text, _ = play(mower_assessor, "shakes", "1", "1", "y", "s", "", "q")
    assert 0 < text.index("DO NOT RIDE: The blade is loose.") < text.index("NEXT:")


def test_a_long_list_is_cut_until_it_is_asked_for(offroad_assessor: Assessor) -> None:
    text, _ = play(offroad_assessor, "harsh", "1", "2", "s", "", "q")
    assert "\n   9  " in text and "\n  10  " not in text and "more: s lists them all" in text
    text, _ = play(offroad_assessor, "harsh", "1", "2", "s", "s", "", "q")
    assert "\n  10  " in text


def test_there_is_no_list_before_a_complaint(mower_assessor: Assessor) -> None:
    text, _ = play(mower_assessor, "s", "q")
    assert "list>" not in text
