"""The interview line by line."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.advice.assessor import Assessor
from diagnose.advice.planning import Step
from diagnose.case.events import (
    Answered,
    Case,
    Complained,
    Corrected,
    Noted,
    Rode,
    read_answer,
    read_target,
    standing,
)
from diagnose.diagnosis import Diagnosis
from diagnose.words.chances import percent
from diagnose.words.evidence_words import strength_text
from tests.tui.plain.playing import play
from tui.plain.lines import summary_lines
from tui.plain.plain_interview import PlainInterview
from tui.terminal.keys import KEYS
from tui.terminal.text import WIDTH

MakeCase = Callable[..., Case]


def test_from_the_riders_word_to_a_proven_correction(mower_assessor: Assessor) -> None:
    text, interview = play(mower_assessor, "dead", "1", "3", "f", "1")
    assert "Is there fresh fuel in the tank?" in text
    assert "Put right (about 5 min):\nFill with fresh fuel" in text
    assert "Proven: close the case" in text
    assert "Ride after it: gone" in text
    assert interview.assessment.step.kind == "close"


def test_it_reaches_what_a_headless_run_of_the_same_facts_reaches(
    mower_assessor: Assessor, make_case: MakeCase
) -> None:
    _, interview = play(mower_assessor, "dead", "1", "2", "q")
    case = make_case(mower_assessor.rules, "no-start", tank_look="stale")
    assert interview.assessment.ranking == mower_assessor.assess(case).ranking


def test_another_complaint_is_added_in_between(mower_assessor: Assessor) -> None:
    _, interview = play(mower_assessor, "dead", "1", "a", "shakes", "1", "1", "q")
    assert interview.case.events[:2] == (Complained("no-start"), Complained("vibration", "deck"))


def test_dont_know_goes_on_to_something_else(mower_assessor: Assessor) -> None:
    text, _ = play(mower_assessor, "dead", "1", "?")
    assert text.count("Is there fresh fuel in the tank?") == 1


def test_back_takes_the_last_answer_back(mower_assessor: Assessor, make_case: MakeCase) -> None:
    _, interview = play(mower_assessor, "dead", "1", "2", "u", "1", "q")
    case = make_case(mower_assessor.rules, "no-start", tank_look="fresh")
    assert interview.case == case


def test_back_at_the_start_says_so(mower_assessor: Assessor) -> None:
    assert "Nothing to take back." in play(mower_assessor, "u")[0]


def test_why_gives_reasons_weights_and_sources(mower_assessor: Assessor) -> None:
    text, _ = play(mower_assessor, "dead", "1", "2", "w")
    assert "Why this now:" in text
    words = "for (makes it 40 times likelier): Is there fresh fuel in the tank? Smells stale"
    assert words in " ".join(text.split())
    assert "Source: from memory: invented for the tests" in text


def test_a_reading_takes_any_unit_and_says_what_is_wrong_with_a_bad_one(
    mower_assessor: Assessor,
) -> None:
    text, interview = play(
        mower_assessor, "dead", "1", "1", "?", "9 psi", "9 mm", "soft", "0.04 in", "s"
    )
    assert "'9 psi' is a pressure; give a length" in text
    assert "9 mm cannot be right; a reading lies between 0 mm and 5 mm" in text
    assert "'soft' is not a number with a unit" in text
    assert interview.assessment.belief.findings.states["plug-gap-reading"] == "wide"


def test_cautions_stand_before_the_step(mower_assessor: Assessor) -> None:
    text, _ = play(mower_assessor, "shakes", "1", "1")
    assert text.index("CAUTION: Pull the plug lead off") < text.index("key") + len(text)
    step = text[text.index("Look (safety first") :]
    assert step.index("CAUTION") < step.index("y  Yes")


def test_do_not_ride_stands_in_the_summary(mower_assessor: Assessor) -> None:
    text, _ = play(mower_assessor, "shakes", "1", "1", "y")
    assert "DO NOT RIDE: The blade is loose." in text


def test_answers_that_do_not_fit_are_asked_about(
    mower_assessor: Assessor, make_case: MakeCase
) -> None:
    case = make_case(mower_assessor.rules, "no-start", spark_seen="sparks", plug_gap_reading="4 mm")
    written: list[str] = []
    typed = iter(["z", "2", "0.6 mm", "q"])
    interview = Diagnosis(mower_assessor, case)
    PlainInterview(interview, lambda _: next(typed), written.append).run()
    text = "\n".join(written)
    assert "A gap that wide does not spark." in text
    said = " ".join(text.split())
    assert "'z' does nothing here. Here: 1 " in said
    assert "3 Both answers stand." in said
    assert "(now: 4 mm)" in text
    assert interview.assessment.belief.findings.contradictions == ()


def test_the_machine_can_be_changed(mower_assessor: Assessor) -> None:
    text, interview = play(mower_assessor, "b", "2", "", "dead", "1", "q")
    assert interview.case.machine == {"engine": "electric"}
    assert "Battery flat" in text


def test_a_change_of_machine_is_shown_as_it_is_and_taken_back_at_once(
    mower_assessor: Assessor,
) -> None:
    text, interview = play(mower_assessor, "b", "2", "2", "b", "", "", "u", "dead", "1", "u", "q")
    assert text.count("  2  Electric motor (Enter)") == 1
    assert interview.case == Case()
    _, kept = play(mower_assessor, "b", "2", "2", "dead", "1", "u", "q")
    assert kept.case == Case({"engine": "electric", "size": "large"})


def test_a_word_that_is_no_kind_of_bike_is_refused_by_what_is(mower_assessor: Assessor) -> None:
    text, interview = play(mower_assessor, "b", "diesel", "3", "2", "")
    said = " ".join(text.split())
    assert "'diesel' does nothing here. Here: 1 Petrol engine; 2 Electric motor" in said
    assert said.count("Enter leaves it as it is.") == 2
    assert interview.case.machine == {"engine": "electric"}


@pytest.mark.parametrize("keys", ["1 2", "1, 2", "1,2", "2 1 2"])
def test_several_complaints_are_picked_at_once(mower_assessor: Assessor, keys: str) -> None:
    text, interview = play(mower_assessor, "", keys, "1")
    assert {c.complaint for c in standing(interview.case).complaints} == {"no-start", "vibration"}
    assert len(interview.case.events) == 2
    assert "Shakes: which end?" in text


@pytest.mark.parametrize("keys", ["1, 9", "9", ",", "1 x"])
def test_several_keys_of_which_one_is_none_pick_nothing(
    mower_assessor: Assessor, keys: str
) -> None:
    text, interview = play(mower_assessor, "", keys)
    assert f"{keys!r} does nothing here. Here: 1 Will not start; 2 Shakes" in text
    assert interview.case == Case()


def test_one_answer_is_not_given_by_several_keys(mower_assessor: Assessor) -> None:
    text, interview = play(mower_assessor, "dead", "1", "1 2")
    assert "'1 2' does nothing here" in text
    assert interview.case.events == (Complained("no-start"),)


def test_a_long_list_is_not_told_again(offroad_assessor: Assessor) -> None:
    text, _ = play(offroad_assessor, "", "99", "q")
    last = len(offroad_assessor.rules.complaints)
    assert f"'99' does nothing here. Here: 1 to {last} of the list above." in text


@pytest.mark.parametrize("typed", [("target 0.9",), ("target", "0.9 mm"), ("target x", "0.9")])
def test_the_manuals_figure_is_given_where_a_reading_is_asked(
    mower_assessor: Assessor, typed: tuple[str, ...]
) -> None:
    text, interview = play(mower_assessor, "dead", "1", "1", "?", *typed)
    assert "Target: 0.6 mm (rule of thumb" in text
    assert "Target: 0.9 mm (as given)" in text
    assert str(interview.case.targets["plug-gap"]) == "0.9 mm"
    assert ("not a number" in text) == ("target x" in typed)


def test_the_manuals_figure_left_with_enter_stays_and_is_taken_back(
    mower_assessor: Assessor,
) -> None:
    to_gap = ("dead", "1", "1", "?")
    assert not play(mower_assessor, *to_gap, "target", "")[1].case.targets
    assert not play(mower_assessor, *to_gap, "target 0.9", "u")[1].case.targets


def test_the_manuals_figure_is_given_where_a_verdict_leans_on_a_rule_of_thumb(
    mower_assessor: Assessor,
) -> None:
    """The reading that was off by the rule of thumb may be right by the manual."""
    text, interview = play(mower_assessor, "dead", "1", "1", "?", "1.5 mm", "target 1.5 mm")
    assert "Put right" in text and "should be 0.6 mm (rule of thumb" in " ".join(text.split())
    assert interview.assessment.belief.findings.states["plug-gap-reading"] == "ok"


def test_where_nothing_has_a_target_none_can_be_given(mower_assessor: Assessor) -> None:
    text, interview = play(mower_assessor, "dead", "1", "target 13 psi")
    assert "A target is given where a reading is asked" in text
    assert not interview.case.targets


def test_what_is_no_reading_is_told_by_the_keys_too(mower_assessor: Assessor) -> None:
    text, _ = play(mower_assessor, "dead", "1", "1", "?", "soft")
    assert "Or ? Don't know; x Can't do it here." in " ".join(text.split())


def test_a_ride_names_its_complaint_where_there_are_several(mower_assessor: Assessor) -> None:
    text, _ = play(mower_assessor, "dead", "1", "a", "shakes", "1", "1", "n", "3", "f", "2")
    assert "Ride after it: better, " in text


def test_what_each_answer_did_comes_before_the_causes_in_why(mower_assessor: Assessor) -> None:
    text, _ = play(mower_assessor, "dead", "1", "2", "w")
    assert text.index("Why this now:") < text.index("What each answer did:") < text.index("Source:")
    assert text.index("What each answer did:") < text.index("for (makes it 40 times likelier")


def test_a_key_may_be_a_capital(mower_assessor: Assessor) -> None:
    _, interview = play(mower_assessor, "shakes", "1", "1", "Y")
    told = [Complained("vibration", "deck"), Answered("blade-wobble", state="yes")]
    assert list(interview.case.events) == told


def test_an_unknown_word_offers_the_list(mower_assessor: Assessor) -> None:
    text, _ = play(mower_assessor, "xyzzy", "", "2", "")
    assert "Nothing like 'xyzzy'" in text
    assert "2  Shakes" in text


@pytest.mark.parametrize("lines", [(), ("dead",), ("dead", "1"), ("dead", "1", "3", "f")])
def test_end_of_input_sums_up_politely(mower_assessor: Assessor, lines: tuple[str, ...]) -> None:
    text = play(mower_assessor, *lines)[0]
    assert "Complaint: " in text
    # with no complaint there is nothing to rank
    assert ("How likely each is at work" in text) == (len(lines) > 1)


@settings(deadline=None, max_examples=60)
@given(
    st.lists(
        st.one_of(
            st.sampled_from([*"123456ynbwmskdgxfipr?", "", "dead", "shakes", "0.6 mm", "deck"]),
            st.text(max_size=8),
        ),
        max_size=25,
    )
)
def test_no_typing_breaks_it_or_runs_off_the_line(
    mower_assessor: Assessor, lines: list[str]
) -> None:
    text, interview = play(mower_assessor, *lines)
    assert "\nComplaint: " in text
    rows = [row for row in text.splitlines() if not any(line and line in row for line in lines)]
    assert all(len(row) <= WIDTH + 2 for row in rows)
    assert (
        (interview.assessment.belief.marginal >= 0) & (interview.assessment.belief.marginal <= 1)
    ).all()


# -- answers that move nothing -------------------------------------------------------------------

STUCK = ("harsh", "1", "2", "?", "?", "?")


def test_three_answers_that_move_nothing_bring_an_offer(offroad_assessor: Assessor) -> None:
    text, interview = play(offroad_assessor, *STUCK)
    found = interview.standstill
    assert found is not None and found.guess is not None and found.settling is not None
    said = text[text.index("3 answers moved nothing that") :]
    assert f"The sheet has {found.left} checks left." in " ".join(said.split())
    assert "\n  m  Best guess, 3 min: set the rear tyre pressure; " in said
    assert "\n  i  Settles most, " in said
    assert "\n  g  Go on asking\n" in said


def test_the_best_guess_is_put_right_and_ridden(offroad_assessor: Assessor) -> None:
    # rear sag is due before any ride, and nobody has measured it
    text, interview = play(offroad_assessor, *STUCK, "m", "w", "f", "n", "?")
    step = text[text.index("Put right (about 3 min):\nSet the rear tyre pressure") :]
    assert step.index("CAUTION:") < step.index("Step 1:") < step.index("f  Done")
    assert "Taken as the best guess (22 %): rear tyre pressure too high." in step
    assert interview.case.events[-2:] == (
        Corrected("set-rear-tyre-pressure"),
        Answered("rear-race-sag-measured"),
    )
    assert "Ride to prove it" in step


@pytest.mark.parametrize(
    ("said", "readings"),
    [
        (("25 psi", "f", "13 psi"), ("25 psi", "13 psi")),
        (("", "f", "n"), ("", "")),
        (("", "done!", "n"), ("", "")),
        (("v",), None),
    ],
)
def test_what_is_found_is_asked_before_the_work_is_shown(
    offroad_assessor: Assessor, said: tuple[str, ...], readings: tuple[str, str] | None
) -> None:
    """Enter says that nobody read it; after a command it is asked again."""
    rules, name = offroad_assessor.rules, "set-rear-tyre-pressure"
    interview = Diagnosis(offroad_assessor, Case({}, {}, (Complained("harsh", "rear"),)))
    interview.turn_to(Step("correct", name, None, 3))
    typed, written = iter(said), list[str]()

    def read(prompt: str) -> str:
        line = next(typed, None)
        if line is None:
            raise EOFError
        return f"{line}\n"

    PlainInterview(interview, read, written.append).run()
    text = "\n".join(written)
    found, set_to = readings or ("", "")
    before = [read_answer(rules, "rear-tyre-gauge", found)] if found else []
    after = [read_answer(rules, "rear-tyre-gauge", set_to)] if set_to else []
    work = [Corrected(name)] if readings else []
    assert interview.case.events[1:] == (*before, *work, *after)
    asked = text.index("Found at? Rear tyre pressure")
    first_step = rules.corrections[name].steps[0][:30]
    assert readings is None or asked < text.index(first_step)
    assert readings is not None or first_step not in text
    assert text.count("Found at?") == (1 if readings else 2)


def test_back_leads_from_the_guess_to_the_question_and_its_offer(
    offroad_assessor: Assessor,
) -> None:
    text, interview = play(offroad_assessor, *STUCK, "m", "u")
    assert text.count("3 answers moved nothing that") == 2
    assert len(interview.case.events) == 4


def test_what_settles_most_is_asked_at_once(offroad_assessor: Assessor) -> None:
    _, interview = play(offroad_assessor, *STUCK)
    found = interview.standstill
    assert found is not None and found.settling is not None
    _, interview = play(offroad_assessor, *STUCK, "i", "?")
    assert interview.case.events[-1] == Answered(found.settling.target)


def test_who_goes_on_is_asked_the_same_without_the_offer(offroad_assessor: Assessor) -> None:
    text, interview = play(offroad_assessor, *STUCK, "g", "?", "?")
    assert text.count("3 answers moved nothing that") == 1
    assert "6 answers moved nothing that" not in text
    assert "6 answers moved nothing that" in play(offroad_assessor, *STUCK, "g", "?", "?", "?")[0]
    assert len(interview.case.events) == 6


def test_the_offers_keys_are_named_only_where_they_are_offered(offroad_assessor: Assessor) -> None:
    text, _ = play(offroad_assessor, "harsh", "1", "2", "z")
    assert "Go on asking" not in text
    refused = play(offroad_assessor, *STUCK, "z")[0].split("> z")[1]
    assert "g Go on asking" in " ".join(refused.split())


@pytest.mark.parametrize(
    ("typed", "reading"), [("", "13 psi"), ("n", None), ("?", None), ("14", "14 psi")]
)
def test_what_was_set_is_asked_for_right_after_the_work(
    offroad_assessor: Assessor, typed: str, reading: str | None
) -> None:
    rules = offroad_assessor.rules
    targets = dict([read_target(rules, "rear-tyre-pressure", "13 psi")])
    found = read_answer(rules, "rear-tyre-gauge", "25 psi")
    work = Corrected("set-rear-tyre-pressure")
    diagnosis = Diagnosis(offroad_assessor, Case({}, targets, (Complained("harsh", "rear"), found)))
    step = Step("correct", work.correction, None, 3.0)
    diagnosis.turn_to(step)
    written: list[str] = []
    typing = iter(["f", "nonsense", typed])

    def read(prompt: str) -> str:
        line = next(typing, None)
        if line is None:
            raise EOFError
        return line

    PlainInterview(diagnosis, read, written.append).run()
    text = "\n".join(written)
    assert "Set to?" in text and "Found: 25 psi. Enter: 13 psi" in text
    after = () if reading is None else (read_answer(rules, "rear-tyre-gauge", reading),)
    assert diagnosis.case.events[2:] == (work, *after)


def test_after_proof_what_was_put_right_stands_before_the_others(
    mower_assessor: Assessor,
) -> None:
    text, _ = play(mower_assessor, "dead", "1", "3", "f", "1")
    put_right, others = text.index("Put right:\n  1. "), text.index("Unlikely now:\n  ")
    assert put_right < text.index(", put right", put_right) < others
    assert ", put right" not in text[others:]
    assert "How likely each is at work" not in text


def test_a_caution_is_in_full_once_and_v_shows_it_again(mower_assessor: Assessor) -> None:
    text, _ = play(mower_assessor, "shakes", "1", "1", "y", "q")
    caution = "CAUTION: Pull the plug lead off"
    assert text.count(caution) == 1
    assert "1 caution as before: v" in text
    text, _ = play(mower_assessor, "shakes", "1", "1", "y", "v", "q")
    assert text.count(caution) == 2


def test_the_end_says_which_ride_followed_which_job_the_proven_first(
    mower_assessor: Assessor,
) -> None:
    rules = mower_assessor.rules
    fuel, blade = "Fill with fresh fuel", rules.corrections["new-blade"].title
    said = (Complained("no-start"), Corrected("new-blade"), Rode("same"),
            Corrected("fill-up"), Rode("gone"))  # fmt: skip
    case = Case({}, {}, said)
    lines = list(summary_lines(rules, case, mower_assessor.assess(case)))
    at = lines.index(f"Done: {fuel}")
    assert lines[at + 1] == "  Ride after it: gone"
    assert lines[at + 2 : at + 4] == [f"Done: {blade}", "  Ride after it: same"]


def test_the_end_has_words_in_place_of_decibans(mower_assessor: Assessor) -> None:
    text, _ = play(mower_assessor, "dead", "1", "2", "q")
    assert " db" not in text
    assert "makes it 40 times likelier" in " ".join(text.split())


@pytest.mark.parametrize(
    ("decibans", "words"),
    [
        (1.0, "makes it a little likelier"),
        (-3.0, "makes it 2 times less likely"),
        (10.0, "makes it 10 times likelier"),
        (54.0, "makes it over 1000 times likelier"),
    ],
)
def test_a_weight_in_words(decibans: float, words: str) -> None:
    assert strength_text(decibans) == words


def test_the_drawing_of_a_step_is_told_in_words(offroad_assessor: Assessor) -> None:
    for key in ("d", "drawing"):
        text, _ = play(offroad_assessor, "headshake", "1", key, "q")
        assert "  drawing: what the drawing of it shows" in text
        assert "Rocking a wheel at 12 and 6. The raised wheel is held at the top" in text
    text, _ = play(offroad_assessor, "harsh", "1", "2", "d", "q")
    assert "No drawing here." in text


def test_the_keys_of_the_screens_do_here_what_they_do_there(mower_assessor: Assessor) -> None:
    text, interview = play(
        mower_assessor, "dead", "1", "p", "k", "j", "customer waits", "r", "tank smells stale", "q"
    )
    assert "Corrections, in the order worth trying:" in text.split("> p")[1].split("> k")[0]
    assert "JOB CARD" in text.split("> k")[1].upper()
    assert Noted("customer waits") in interview.case.events
    assert "reading or fact> tank smells stale" in text


def test_the_commands_have_the_letters_and_names_of_the_one_map(mower_assessor: Assessor) -> None:
    text = " ".join(play(mower_assessor, "h", "q")[0].split())
    for letter in "ursvwpdjkabhq":
        assert f"{letter} {KEYS[letter].name.lower()}" in text


def test_what_the_causes_leave_over_stands_below_them_with_its_figure(
    offroad_assessor: Assessor,
) -> None:
    text, interview = play(offroad_assessor, "harsh", "1", "1", "q")
    (line,) = [line for line in text.splitlines() if "Something else (little told yet)" in line]
    nothing = offroad_assessor.assess(interview.case).ranking.nothing_listed
    assert line.endswith(f": {percent(nothing)}")
    last_cause = max(text.rfind(f"{number}. ", 0, text.index(line)) for number in range(1, 6))
    assert last_cause < text.index(line)
