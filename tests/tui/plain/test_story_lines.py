"""A story told line by line: heard, struck out, asked, checked in, added to."""

from __future__ import annotations

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.advice.check_in import check_in
from diagnose.case.events import Answered, Case, Complained, Told, standing
from diagnose.diagnosis import Diagnosis
from tests.tui.plain.playing import play
from tui.plain.ticks import Ticks

GREASED = "back end went harsh after I greased the linkage"


def said(interview: Diagnosis) -> dict[str, str]:
    return {name: a.state or str(a.reading) for name, a in standing(interview.case).answers.items()}


def test_a_story_becomes_part_of_the_case_with_its_words(offroad_assessor: Assessor) -> None:
    text, interview = play(offroad_assessor, GREASED, "", "")
    assert "1  Harsh (rear), from “harsh”" in text
    assert "from “after … greased … linkage”" in " ".join(text.split())
    assert interview.case.events == (
        Told(GREASED),
        Complained("harsh", "rear"),
        Answered("changed-linkage-apart", "yes"),
    )


def test_a_number_strikes_out_and_words_add(offroad_assessor: Assessor) -> None:
    text, interview = play(offroad_assessor, GREASED, "2", "14 psi in the rear tyre", "7", "", "")
    assert "struck out: Linkage" in text
    assert "'7' does nothing here" in text
    assert said(interview) == {"rear-tyre-gauge": "14 psi"}


def test_which_end_is_asked_with_one_key_and_other_keys_are_refused(
    offroad_assessor: Assessor,
) -> None:
    text, interview = play(offroad_assessor, "it beats me up", "z", "3", "", "")
    assert text.count("Which end is it") == 1
    assert "'z' does nothing here" in text
    assert interview.case.events[1] == Complained("harsh", "rear")


def test_a_sentence_without_a_complaint_says_so_and_offers_the_list(
    offroad_assessor: Assessor,
) -> None:
    words = "14 psi in the rear tyre"
    text, interview = play(offroad_assessor, words, "n", "", "1", "1", "")
    assert "No complaint is understood in it." in text
    assert interview.case.events[0] == Told(words)
    assert Complained("harsh", "front") in interview.case.events
    assert said(interview) == {"rear-tyre-gauge": "14 psi"}


def test_the_list_opens_with_enter_a_sign_or_a_word(mower_assessor: Assessor) -> None:
    for word in ("", "?", "list"):
        _, interview = play(mower_assessor, word, "1")
        assert interview.case.events == (Complained("no-start"),)
    _, interview = play(mower_assessor, "1")
    assert interview.case.events == (Complained("no-start"),)


def test_the_check_in_takes_keys_and_readings_in_one_line(offroad_assessor: Assessor) -> None:
    case = Case(events=(Told(GREASED), Complained("harsh", "rear"),
                        Answered("changed-linkage-apart", "yes")))  # fmt: skip
    page = check_in(offroad_assessor, case)
    line = "b 0, j, 1 = 20"
    text, interview = play(offroad_assessor, GREASED, "", "é", "9 = 4", line)
    assert "(said: yes)" in text
    assert "'é' does nothing here" in text and "'9 = 4' does nothing" in text
    answers = standing(interview.case).answers
    assert answers[page.since[1]].state == "yes"
    assert all(answers[name].state == "no" for name in page.since[2:])
    assert answers["changed-linkage-apart"].state == "yes"
    assert answers[page.shows[0]].state == "yes"
    assert all(name not in answers for name in page.shows[1:])
    reading = answers[page.readings[0]].reading
    assert reading is not None and reading.value == 20


def test_a_tyre_ticked_as_new_brings_that_its_wheel_was_out(offroad_assessor: Assessor) -> None:
    told = ("the front washes out in the turns", "")
    _, begun = play(offroad_assessor, *told, "", "q")
    ticks = Ticks(check_in(offroad_assessor, begun.case), standing(begun.case).answers)
    key = next(k for k, name in ticks.keys.items() if name == "changed-front-tyre-new")
    _, interview = play(offroad_assessor, *told, key, "q")
    answers = said(interview)
    assert answers["changed-front-tyre-new"] == answers["changed-front-wheel-out"] == "yes"


def test_a_reading_can_be_not_known_on_the_check_in(offroad_assessor: Assessor) -> None:
    _, interview = play(offroad_assessor, GREASED, "", "1 = dunno", "q")
    assert [a.is_known for a in standing(interview.case).answers.values()] == [True, False]


def test_a_letter_on_the_check_in_is_no_command(offroad_assessor: Assessor) -> None:
    _, interview = play(offroad_assessor, "the front feels washy", "", "k", "?")
    answers = standing(interview.case).answers
    assert any(answer.state == "yes" for answer in answers.values())


def test_a_fact_is_taken_at_any_question_after_y(offroad_assessor: Assessor) -> None:
    text, interview = play(
        offroad_assessor, GREASED, "", "", "rear sag 128", "n", "rear sag 128", "y"
    )
    assert (
        text.count("Heard: Rear sag with the rider on, in full kit, any luggage on: 128 mm.") == 2
    )
    assert said(interview)["rear-race-sag-measured"] == "128 mm"


def test_what_may_be_meant_is_asked_before_it_counts(offroad_assessor: Assessor) -> None:
    told = (GREASED, "", "", "disc is oily", "n")  # no other complaint
    text, interview = play(offroad_assessor, *told, "")
    assert "Nothing heard for sure; did you mean:" in text
    assert set(said(interview)) == {"changed-linkage-apart"}
    text, interview = play(offroad_assessor, *told, "n", "1", "3")
    assert "'n' does nothing here" in text
    assert said(interview)["oil-on-front-brake"] == "on-brake"


def test_what_is_no_fact_is_refused_as_before(offroad_assessor: Assessor) -> None:
    text, interview = play(offroad_assessor, GREASED, "", "", "who knows that")
    assert "'who knows that' is not a number" in text and "did you mean" not in text
    assert set(said(interview)) == {"changed-linkage-apart"}


def test_back_leaves_what_was_heard(offroad_assessor: Assessor) -> None:
    _, interview = play(offroad_assessor, GREASED, "u", "q")
    assert interview.case == Case()


def test_an_answer_word_first_is_taken_and_the_rest_is_heard(offroad_assessor: Assessor) -> None:
    text, interview = play(offroad_assessor, "it beats me up", "rear, 14 psi rear tyre", "", "")
    assert Complained("harsh", "rear") in interview.case.events
    assert said(interview) == {"rear-tyre-gauge": "14 psi"}
    assert "Rear. Heard: " in text


def test_a_fact_in_place_of_an_answer_is_heard_first_and_the_question_stays(
    offroad_assessor: Assessor,
) -> None:
    text, interview = play(offroad_assessor, "it beats me up", "14 psi rear tyre", "4", "", "")
    assert text.count("Which end is it") == 2
    assert Complained("harsh", "rear") in interview.case.events
    assert said(interview) == {"rear-tyre-gauge": "14 psi"}


def test_enter_is_told_to_do_as_the_sign_beside_it(offroad_assessor: Assessor) -> None:
    text, interview = play(offroad_assessor, "it beats me up", "", "", "")
    assert "key (Enter as ?: which end stays open)> " in text
    assert interview.case.events[1] == Complained("harsh")


def test_an_answer_word_at_a_step_is_taken_with_what_follows(mower_assessor: Assessor) -> None:
    text, interview = play(mower_assessor, "shakes", "1", "1", "no, raced it on sunday", "q")
    assert interview.case.events[-1] == Answered("blade-wobble", "no")
    assert "No. Nothing else in it is a fact" in " ".join(text.split())
    text, interview = play(mower_assessor, "shakes", "1", "1", "no idea", "q")
    assert len(interview.case.events) == 1
    assert "'no idea' does nothing here" in " ".join(text.split())


def test_facts_after_an_answer_at_a_step_are_taken_with_it(offroad_assessor: Assessor) -> None:
    text, interview = play(offroad_assessor, GREASED, "", "", "don't know, rear sag 128", "q")
    assert said(interview)["rear-race-sag-measured"] == "128 mm"
    assert "Heard: Rear sag with the rider on" in " ".join(text.split())


@pytest.mark.parametrize("typed", ["and it also headshakes", "no, and it also headshakes"])
def test_a_complaint_in_place_of_an_answer_is_pointed_out(
    offroad_assessor: Assessor, typed: str
) -> None:
    text, interview = play(offroad_assessor, "harsh", "1", "2", typed, "y", "q")
    assert "Heard as another complaint: Headshake at speed. Add it?" in text
    complained = [e for e in interview.case.events if isinstance(e, Complained)]
    assert complained == [Complained("harsh", "rear"), Complained("headshake")]
    _, left = play(offroad_assessor, "harsh", "1", "2", typed, "n", "q")
    assert Complained("headshake") not in left.case.events


def test_what_it_complains_of_already_is_not_asked_again(offroad_assessor: Assessor) -> None:
    text, _ = play(offroad_assessor, "harsh", "1", "2", "the rear is harsh", "q")
    assert "another complaint:" not in text
