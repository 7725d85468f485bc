"""A rider's story: what is taken, what is asked, what is not taken, and robustness."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.listening.heard import Story
from diagnose.listening.listen import LONGEST_LISTENED, Listener
from rules.rulebase import RuleBase
from tests.diagnose.listening.hearing import complaint_keys

RIDERS_WORDS = st.lists(
    st.sampled_from(
        [
            "fork",
            "rear",
            "harsh",
            "not",
            "no",
            "psi",
            "14",
            "13/12",
            "mm",
            "sag",
            "was",
            "now",
            "the",
            "both",
            "ends",
            "my",
            "mate's",
            "over",
            "roots",
            "whoops",
            ",",
            ".",
            ";",
            "but",
            "and",
            "-3",
            "1/2",
            "a",
            "half",
            "\u200f",
            "\x00",
            "\n",
            "½",
            "12.",
            "kicks",
            "won't",
            "return",
            "never",
            "bled",
            "İ",
            "ſ",
            "Ⅷ",
        ]
    ),
    max_size=40,
).map(" ".join)


def readings(story: Story) -> dict[str, str]:
    return {f.observation: str(f.reading) for f in story.facts if f.reading is not None}


def states(story: Story) -> dict[str, str]:
    return {f.observation: f.state for f in story.facts if f.state is not None}


def test_a_whole_story(listener: Listener) -> None:
    story = listener.listen(
        "back end went harsh after I greased the linkage, it's worst on square edges, 14 psi in the rear"
    )
    assert complaint_keys(listener, story) == ["harsh/rear"]
    assert states(story) == {"changed-linkage-apart": "yes", "shows-square-edges": "yes"}
    assert readings(story) == {"rear-tyre-gauge": "14 psi"}


@pytest.mark.parametrize(
    ("text", "observation", "reading"),
    [
        ("rear tyre at about twenty psi", "rear-tyre-gauge", "20 psi"),
        ("0,9 bar in the front tyre", "front-tyre-gauge", "0.9 bar"),
        ("twelve and a half psi in the rear tyre", "rear-tyre-gauge", "12.5 psi"),
        ("a quarter inch of play at the back axle when i lift it", "rear-lift-play", "0.25 in"),
        ("fork rebound is ten out", "fork-rebound-clicks-noted", "10 clicks"),
        ("fork compression all the way in", "fork-compression-clicks-noted", "0 clicks"),
        ("I weigh a hundred kilos in my kit", "rider-weight", "100 kg"),
        ("im 15 stone in kit", "rider-weight", "15 st"),
        ("rear sag was 105 now 128", "rear-race-sag-measured", "128 mm"),
        ("it was 28°F that morning", "air-temperature", "28 °F"),
        ("hsc one and a half turns out", "shock-high-speed-compression-turns", "1.5 turns"),
        ("shock sags one twenty five", "rear-race-sag-measured", "125 mm"),
    ],
)
def test_a_figure_is_read_with_its_unit(
    listener: Listener, text: str, observation: str, reading: str
) -> None:
    assert readings(listener.listen(text)) == {observation: reading}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("I am 12 stone 7 in my boots", {"rider-weight": "12.5 st"}),
        ("I weigh 13 stone and a half in kit", {"rider-weight": "13.5 st"}),
        ("front axle runout eight hundredths on the dial", {"front-axle-runout": "0.08 mm"}),
        ("front disc runs out twelve thou", {"front-disc-runout": "0.012 in"}),
        ("64 kg with all her gear last autumn, 70 now", {"rider-weight": "70 kg"}),
        ("took 3 psi out the rear, now 12", {"rear-tyre-gauge": "12 psi"}),
        ("He's 10 stone; I'm 15 in all my gear", {"rider-weight": "15 st"}),
        ("the lad before was 60 kilos, I am 88", {"rider-weight": "88 kg"}),
        (
            "Not the tyres, both fresh and 13 psi.",
            {"front-tyre-gauge": "13 psi", "rear-tyre-gauge": "13 psi"},
        ),
        ("The preload, I make that 9 turns by now.", {"rear-preload-turns": "9 turns"}),
        ("Minus six when we left and the fork was solid", {"air-temperature": "-6 °C"}),
        ("twelve degrees of frost this morning", {"air-temperature": "-12 °C"}),
        ("It was 4 below when we left", {"air-temperature": "-4 °C"}),
        ("4 psi below the manual in the rear tyre", {}),
        ("rear sag 105, no wait, 108", {"rear-race-sag-measured": "108 mm"}),
        ("rear tyre 15 psi, well 14 by the gauge", {"rear-tyre-gauge": "14 psi"}),
        ("shock rebound is ten out. Not ten, eleven.", {"shock-rebound-clicks-noted": "11 clicks"}),
        ("fork rebound is on 12, was 9", {"fork-rebound-clicks-noted": "12 clicks"}),
        ("12 or 13 psi in the rear", {"rear-tyre-gauge": "12.5 psi"}),
        ("rear sag an inch and three quarters", {"rear-race-sag-measured": "1.75 in"}),
        ("rear sag four and an eighth inches", {"rear-race-sag-measured": "4.125 in"}),
        ("if we ran 11 in the front would it grip", {}),
        ("is 100 mm of sag too much?", {}),
        ("you said 12 psi in the rear", {}),
        ("shock rebound four in, four out, no different", {}),
        (
            "the shock is new, comp 12 reb 10 on the fork",
            {
                "fork-compression-clicks-noted": "12 clicks",
                "fork-rebound-clicks-noted": "10 clicks",
            },
        ),
        (
            "reb 8 comp 10 forks reb 12 comp 14 shock",
            {
                "fork-rebound-clicks-noted": "8 clicks",
                "fork-compression-clicks-noted": "10 clicks",
                "shock-rebound-clicks-noted": "12 clicks",
                "shock-low-speed-compression-clicks-noted": "14 clicks",
            },
        ),
        (
            "comp is 12 clicks out front, 14 out on the shock",
            {
                "fork-compression-clicks-noted": "12 clicks",
                "shock-low-speed-compression-clicks-noted": "14 clicks",
            },
        ),
        (
            "eleven pounds in the front and sag is 110",
            {"front-tyre-gauge": "11 psi", "rear-race-sag-measured": "110 mm"},
        ),
        (
            "adjusters 35 and 32",
            {"rear-adjuster-left": "35 mm", "rear-adjuster-right": "32 mm"},
        ),
        ("the bars sit five degrees off", {}),
        ("thirty eight quid for a chain", {}),
        ("Spokes dull at the rear, rim's out by 2 mm", {"rear-rim-runout": "2 mm"}),
        ("With my luggage it is heavy. Twenty-four kilos, high up.", {"load-carried": "24 kg"}),
        ("Checked the sag at the back. 111.", {"rear-race-sag-measured": "111 mm"}),
        (
            "the air fork main is at 10 bar, balance 8.5",
            {"air-fork-main-measured": "10 bar", "air-fork-balance-measured": "8.5 bar"},
        ),
        (
            "Upper clamp 24, spec 20.",
            {"upper-clamp-torque-found": "24 N·m", "manual-upper-clamp-torque": "20 N·m"},
        ),
        (
            "rear sag 101 mm with me on and 33 mm on its own",
            {"rear-race-sag-measured": "101 mm", "rear-static-sag-measured": "33 mm"},
        ),
    ],
)
def test_a_figure_is_read_as_people_say_it(
    listener: Listener, text: str, expected: dict[str, str]
) -> None:
    assert readings(listener.listen(text)) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            "Static sag 30, race sag 98, spec 35 and 105.",
            {
                "rear-static-sag-measured": "30 mm",
                "rear-race-sag-measured": "98 mm",
                "manual-rear-static-sag": "35 mm",
                "manual-rear-race-sag": "105 mm",
            },
        ),
        (
            "Tyre pressures: manual 13 front, 11 rear. Found: 10 and 15.",
            {
                "manual-front-tyre-pressure": "13 psi",
                "manual-rear-tyre-pressure": "11 psi",
                "front-tyre-gauge": "10 psi",
                "rear-tyre-gauge": "15 psi",
            },
        ),
        (
            "Shock LSC 8, rebound 10, high speed one and a half turns. Book 12, 14 and two.",
            {
                "shock-low-speed-compression-clicks-noted": "8 clicks",
                "shock-rebound-clicks-noted": "10 clicks",
                "shock-high-speed-compression-turns": "1.5 turns",
                "manual-shock-low-speed-compression": "12 clicks",
                "manual-shock-rebound": "14 clicks",
                "manual-shock-high-speed-compression": "2 turns",
            },
        ),
    ],
)
def test_a_list_of_the_manuals_goes_in_step_with_what_was_read(
    listener: Listener, text: str, expected: dict[str, str]
) -> None:
    assert readings(listener.listen(text)) == expected


def test_a_unit_is_inherited_and_each_figure_has_its_end(listener: Listener) -> None:
    expected = {"front-tyre-gauge": "0.9 bar", "rear-tyre-gauge": "1 bar"}
    assert readings(listener.listen("tyre pressures 0.9 bar front 1.0 rear")) == expected
    swapped = listener.listen("13 psi in the front and 14 in the rear")
    assert readings(swapped) == {"front-tyre-gauge": "13 psi", "rear-tyre-gauge": "14 psi"}


@pytest.mark.parametrize("joined", ["13 and 14", "13 & 14", "13 / 14", "13/14"])
def test_two_figures_joined_are_of_front_and_rear(listener: Listener, joined: str) -> None:
    expected = {"front-tyre-gauge": "13 psi", "rear-tyre-gauge": "14 psi"}
    assert readings(listener.listen(f"tyres at {joined} psi")) == expected
    halfway = {"front-tyre-gauge": "13.5 psi", "rear-tyre-gauge": "13.5 psi"}
    assert readings(listener.listen("tyres at 13 or 14 psi")) == halfway


@pytest.mark.parametrize("joined", ["13 and 14", "13 & 14"])
def test_of_two_joined_figures_neither_is_taken_for_both_ends(
    listener: Listener, joined: str
) -> None:
    story = listener.listen(f"{joined} psi front and rear")
    assert readings(story) == {}
    assert {asked.choices for asked in story.questions} == {("13 psi", "14 psi")}


@pytest.mark.parametrize("verb", ["is", "was", "are", "were"])
def test_where_it_is_said_to_be_fine_it_does_not_show(listener: Listener, verb: str) -> None:
    story = listener.listen(f"on landings it {verb} fine, harsh front")
    assert states(story) == {"shows-landings": "no"}
    assert states(listener.listen("on landings fine, harsh front")) == {}


@pytest.mark.parametrize("end", ["fork", "shock"])
def test_an_end_named_last_closes_a_list_of_figures(listener: Listener, end: str) -> None:
    named = {"fork": "fork-compression", "shock": "shock-low-speed-compression"}[end]
    story = listener.listen(f"comp 12, reb 10 on the {end}")
    assert readings(story) == {
        f"{named}-clicks-noted": "12 clicks",
        f"{end}-rebound-clicks-noted": "10 clicks",
    }


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("the fork isn't harsh", "denied"),
        ("my mate's bike has a harsh fork", "of another bike"),
        ("the fork used to be harsh", "past"),
        ("nearly harsh at the front", "supposed"),
    ],
)
def test_what_does_not_count_is_shown_with_the_reason(
    listener: Listener, text: str, why: str
) -> None:
    story = listener.listen(text)
    assert story.complaints == ()
    assert [(item.id, item.why) for item in story.not_taken] == [("harsh", why)]


def test_a_figure_that_should_be_is_the_manuals_and_one_wanted_is_none(listener: Listener) -> None:
    story = listener.listen("rear sag should be 105 mm")
    assert readings(story) == {"manual-rear-race-sag": "105 mm"}
    story = listener.listen("I am aiming for 105 mm of rear sag")
    assert readings(story) == {}
    assert [item.id for item in story.not_taken] == ["rear-race-sag-measured"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            "twenty eight psi in front and thirty two in back",
            {"front-tyre-gauge": "28 psi", "rear-tyre-gauge": "32 psi"},
        ),
        (
            "three pounds in the rear and five in the front",
            {"rear-tyre-gauge": "3 psi", "front-tyre-gauge": "5 psi"},
        ),
        ("tyres 13 and 12", {"front-tyre-gauge": "13 psi", "rear-tyre-gauge": "12 psi"}),
        ("I weigh about two oh five", {"rider-weight": "205 lb"}),
        ("I weigh one fifty", {}),
        ("disc wobble is point four of a mil", {"front-disc-runout": "0.4 mm"}),
        ("swingarm side play .8 mm", {"swingarm-side-play": "0.8 mm"}),
        ("steering damper at six from closed", {"steering-damper-clicks": "6 clicks"}),
        (
            "11 psi in front, sag 110",
            {"front-tyre-gauge": "11 psi", "rear-race-sag-measured": "110 mm"},
        ),
    ],
)
def test_small_and_bare_figures_take_the_unit_of_what_they_tell(
    listener: Listener, text: str, expected: dict[str, str]
) -> None:
    assert readings(listener.listen(text)) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            "fork protrusion 12 mil on the left, 10 on the right",
            {"fork-protrusion-left": "12 mm", "fork-protrusion-right": "10 mm"},
        ),
        (
            "fork comp is 6 on the left and 16 on the right",
            {
                "fork-compression-clicks-noted": "6 clicks",
                "fork-compression-clicks-right": "16 clicks",
            },
        ),
        (
            "left air leg is at 36 psi, the right at 30",
            {"air-fork-left-measured": "36 psi", "air-fork-right-measured": "30 psi"},
        ),
        ("fork comp 12 clicks out", {"fork-compression-clicks-noted": "12 clicks"}),
        ("rebound 4 clicks in on the fork and it was worse", {}),
    ],
)
def test_a_figure_goes_to_the_side_of_the_bike_that_is_said(
    listener: Listener, text: str, expected: dict[str, str]
) -> None:
    assert readings(listener.listen(text)) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            "Forks were last opened 62 hours ago; the handbook asks for 40.",
            {"hours-fork-service": "62 h", "manual-fork-service-interval": "40 h"},
        ),
        (
            "Manual main chamber 9.8 bar, mine had 9.1 in it",
            {"manual-air-fork-main-pressure": "9.8 bar", "air-fork-main-measured": "9.1 bar"},
        ),
        ("top clamp bolts 20 Nm by the book", {"manual-upper-clamp-torque": "20 N·m"}),
        (
            "forks 8 mm proud, should be 5",
            {"fork-protrusion-left": "8 mm", "manual-fork-height": "5 mm"},
        ),
    ],
)
def test_the_manuals_figure_is_told_from_the_one_read(
    listener: Listener, text: str, expected: dict[str, str]
) -> None:
    assert readings(listener.listen(text)) == expected


def test_both_ends_and_an_end_left_open(listener: Listener) -> None:
    assert complaint_keys(listener, listener.listen("bottoms out at both ends")) == [
        "bottoming/front",
        "bottoming/rear",
    ]
    story = listener.listen("it bottoms out")
    assert complaint_keys(listener, story) == ["bottoming/any"]
    assert [(q.asks, q.id, q.choices) for q in story.questions] == [
        ("place", "bottoming", ("front", "rear"))
    ]


@pytest.mark.parametrize(
    "text", ["it bottoms out, can't tell if front or rear", "clanks to the stops, fork or shock"]
)
def test_an_end_said_to_be_unknown_is_asked(listener: Listener, text: str) -> None:
    story = listener.listen(text)
    assert {c.place for c in story.complaints} == {None}


@pytest.mark.parametrize(
    ("text", "choices"),
    [
        ("there's 14 rear", [("rear-tyre-gauge",)]),
        ("12 front 14 back", [("front-tyre-gauge",), ("rear-tyre-gauge",)]),
    ],
)
def test_a_bare_figure_beside_an_end_is_asked(
    listener: Listener, text: str, choices: list[tuple[str, ...]]
) -> None:
    story = listener.listen(text)
    assert readings(story) == {}
    assert [q.choices for q in story.questions if q.asks == "figure"] == choices


def test_a_bare_figure_beside_an_end_is_taken_where_its_noun_is_said(listener: Listener) -> None:
    assert readings(listener.listen("running 12 up front")) == {"front-tyre-gauge": "12 psi"}
    assert readings(listener.listen("14 psi back, fork harsh")) == {"rear-tyre-gauge": "14 psi"}
    assert readings(listener.listen("there's 14 in the rear")) == {"rear-tyre-gauge": "14 psi"}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            "comp twelve out and rebound fourteen out on the fork",
            {
                "fork-compression-clicks-noted": "12 clicks",
                "fork-rebound-clicks-noted": "14 clicks",
            },
        ),
        ("rear sag was 98, now it is 121", {"rear-race-sag-measured": "121 mm"}),
        ("tyres at 13", {"front-tyre-gauge": "13 psi", "rear-tyre-gauge": "13 psi"}),
        ("the front tyre is around 10", {"front-tyre-gauge": "10 psi"}),
        ("freezing, minus three", {"air-temperature": "-3 °C"}),
        ("chain slack is two fingers, about 55 mm", {"chain-slack": "55 mm"}),
        ("chain tight, 15 mm slack", {"chain-slack": "15 mm"}),
    ],
)
def test_a_figure_goes_with_its_own_words(
    listener: Listener, text: str, expected: dict[str, str]
) -> None:
    assert readings(listener.listen(text)) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("never had arm pump till I put the new bars on", ["arms-hurt"]),
        ("the rear was done by a mate and is harsh", ["harsh/rear"]),
        (
            "my mate's bike tops out but mine just deflects off roots at the front",
            ["deflection/front"],
        ),
        ("should I go stiffer, it bottoms the rear every landing", ["bottoming/rear"]),
        ("more the back than the front that is harsh over the chop", ["harsh/rear"]),
        ("tyres swapped and now it doesn't track straight", ["pulls"]),
        ("the fork kicks back at me", []),
        ("her bike leaks from both fork seals", ["seal-weep/front"]),
        ("her bike leaks from both fork seals, mine is dry", []),
        ("my wife says I dream but the rear squats on the gas", ["squatting"]),
        ("with the bags on it wallows", ["wallowing"]),
        ("leaning on the bars in the workshop the fork feels sticky", ["sticky-stroke/front"]),
        ("headstock has slack, clunks when I brake", ["knock/front"]),
        ("the rear drops a long way when I accelerate", ["squatting"]),
        ("lovely to the left, to the right it fights me", ["uneven"]),
        ("the fork bottoms", ["bottoming/front"]),
        ("L/H seal weeps", ["seal-weep/any"]),
        ("his fork is harsh when he hits a rock", ["harsh/front"]),
        ("it knocks at the front like a loose gate", ["knock/front"]),
        ("the marshals were harsh this weekend", []),
        ("he washed out of the championship", []),
        ("squats like a dog out of the berms", ["squatting"]),
    ],
)
def test_it_is_heard_of_whom_and_when_something_is_said(
    listener: Listener, text: str, expected: list[str]
) -> None:
    assert complaint_keys(listener, listener.listen(text)) == expected


def test_an_end_beside_another_word_is_not_that_of_the_first(listener: Listener) -> None:
    story = listener.listen(
        "since the mud race it skips over roots and squeaks behind, clickers not touched"
    )
    assert sorted(complaint_keys(listener, story)) == ["deflection/any", "noise/rear"]
    facts = {fact.observation: fact.state for fact in story.facts}
    assert facts["changed-settings"] == "no"
    assert facts["rear-squeak"] == "squeaks"
    asked = [question.id for question in story.questions if question.asks == "fact"]
    assert asked == ["changed-deep-water"]  # mud is not always water


def test_what_is_denied_after_its_noun_is_not_so(listener: Listener) -> None:
    assert states(listener.listen("harsh fork, clickers not touched")) == {"changed-settings": "no"}


def test_a_mark_of_another_complaint_is_no_fact(listener: Listener) -> None:
    assert "weep-which-legs" not in states(listener.listen("I drained the left leg, 300 ml."))
    text = "fork {} since the mud race"
    assert "weep-follows-mud" not in states(listener.listen(text.format("is harsh")))
    assert states(listener.listen(text.format("seals weep")))["weep-follows-mud"] == "yes"


def test_a_trouble_that_is_over_is_past(listener: Listener) -> None:
    story = listener.listen("The fork leaked, got new seals fitted, not a drop since.")
    assert story.complaints == ()
    assert {(item.id, item.why) for item in story.not_taken} >= {("seal-weep", "past")}


def test_what_it_does_not_do_any_more_is_a_trouble(listener: Listener) -> None:
    for text, meant in [
        ("It won't turn any more.", ["heavy-steering"]),
        ("It doesn't wallow any more.", []),
        ("The steering's gone heavy.", ["heavy-steering"]),
        ("The wallow has gone.", []),
    ]:
        assert complaint_keys(listener, listener.listen(text)) == meant, text


def test_clicks_by_which_a_setting_was_moved_are_no_reading(listener: Listener) -> None:
    kicks = "The rear kicks. "
    assert readings(listener.listen(kicks + "I backed the shock rebound off four clicks.")) == {}
    moved_to = readings(listener.listen(kicks + "I backed the shock rebound off to 12 clicks."))
    assert moved_to == {"shock-rebound-clicks-noted": "12 clicks"}


def test_both_legs_have_the_figure_said_of_both(listener: Listener) -> None:
    story = listener.listen("It tucks, both forks are 8 mm up through the clamps.")
    assert readings(story) == {"fork-protrusion-left": "8 mm", "fork-protrusion-right": "8 mm"}


def test_what_others_say_of_the_riders_bike_is_of_that_bike(listener: Listener) -> None:
    story = listener.listen("My buddy filmed me and the back squats when I gas it.")
    assert complaint_keys(listener, story) == ["squatting"]
    story = listener.listen("My neighbour lifted the seat by hand and the back knocks.")
    assert complaint_keys(listener, story) == ["knock/rear"]
    story = listener.listen("My buddy took his fork apart, it squats when he gasses it.")
    assert story.complaints == ()


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("It squeaks. The rear, that is, over every bump.", ["noise/rear"]),
        ("Packs down over the rollers. Front end.", ["packing/front"]),
        (
            "My front is fine. It won't come back up; the tail just stays down.",
            ["slow-return/rear"],
        ),
        ("It squeaks. The front tyre is new.", ["noise/any"]),
    ],
)
def test_an_end_may_be_added_in_the_next_sentence(
    listener: Listener, text: str, expected: list[str]
) -> None:
    assert complaint_keys(listener, listener.listen(text)) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("What is left is a fork that dives.", ["diving"]),
        ("What dives?", []),
        ("The bars nearly broke my wrist, wobbling like mad.", ["headshake"]),
        ("It nearly dives.", []),
        ("The fork has got harsh over the last year.", ["harsh/front"]),
        ("The fork was harsh last year.", []),
        ("The shock no longer comes back.", ["slow-return/rear"]),
        ("What is not fine: the fork dives.", ["diving"]),
    ],
)
def test_what_only_looks_set_aside_is_said(
    listener: Listener, text: str, expected: list[str]
) -> None:
    assert complaint_keys(listener, listener.listen(text)) == expected


def test_a_second_complaint_of_the_same_words_is_asked(listener: Listener) -> None:
    story = listener.listen("The front sticks part way down and needs a second push.")
    assert complaint_keys(listener, story) == ["sticky-stroke/front"]


def test_two_different_figures_are_asked_rather_than_taken(listener: Listener) -> None:
    story = listener.listen("Rear sag is 105 mm. Rear sag is 128 mm.")
    assert readings(story) == {}
    asked = [q for q in story.questions if q.asks == "fact"]
    assert [(q.id, q.choices) for q in asked] == [("rear-race-sag-measured", ("105 mm", "128 mm"))]


def test_a_figure_whose_end_is_open_is_asked(listener: Listener) -> None:
    story = listener.listen("running 15 psi")
    assert readings(story) == {}
    (question,) = story.questions
    assert (question.asks, question.choices) == ("figure", ("front-tyre-gauge", "rear-tyre-gauge"))


def test_the_kind_of_bike_is_heard(listener: Listener) -> None:
    story = listener.listen("air fork is harsh over roots, running mousses")
    assert {trait: option for trait, option, _ in story.machine} == {
        "fork": "air",
        "tyre-filling": "mousse",
    }


def test_where_it_shows_waits_for_a_complaint(listener: Listener) -> None:
    assert listener.listen("I rode in the sand on Sunday").facts == ()


def test_a_mistyped_word_is_understood(listener: Listener) -> None:
    story = listener.listen("the frok is hrash")
    assert complaint_keys(listener, story) == ["harsh/front"]
    assert [part.text for part in story.complaints[0].words][-1] == "hrash"


@pytest.mark.parametrize("text", ["", "  \n", "\u200f\u0000", "12345", "..."])
def test_nothing_said_is_remarked_upon(listener: Listener, text: str) -> None:
    story = listener.listen(text)
    assert (story.complaints, story.facts, story.questions) == ((), (), ())
    assert story.remarks


def test_a_story_too_long_is_cut_with_a_word_and_kept_whole(listener: Listener) -> None:
    text = "fork is harsh. " * 7000
    story = listener.listen(text)
    assert story.text == text
    assert complaint_keys(listener, story) == ["harsh/front"]
    assert f"{LONGEST_LISTENED:,}" in story.remarks[0]


@given(st.one_of(st.text(max_size=300), RIDERS_WORDS))
def test_any_text_is_listened_to_and_every_word_is_a_slice(listener: Listener, text: str) -> None:
    story = listener.listen(text)
    assert story.text == text
    items: list[Any] = [
        *story.complaints,
        *story.facts,
        *story.questions,
        *story.not_taken,
        *story.pending,
    ]
    slices = [part for item in items for part in item.words]
    slices += [part for _, _, words in story.machine for part in words]
    assert all(text[part.start : part.end] == part.text != "" for part in slices)
    assert all(item.words for item in items)
    assert story == listener.listen(text)


def test_what_is_taken_fits_the_rule_base(listener: Listener, offroad: RuleBase) -> None:
    story = listener.listen("both ends harsh over roots, 13 psi all round, never bled, rear kicks")
    for complaint in story.complaints:
        assert (
            complaint.place is None
            or complaint.place in offroad.complaints[complaint.complaint].places
        )
    for fact in story.facts:
        entry = offroad.observations[fact.observation]
        assert fact.state is None or fact.state in entry.states


def test_a_pack_without_words_of_its_own_is_listened_to(mower: RuleBase) -> None:
    story = Listener(mower).listen("it shakes and buzzes my hands")
    assert [c.complaint for c in story.complaints] == ["vibration"]


@pytest.mark.parametrize("story", ["washing out in the turns", "front washes out in the corners"])
def test_out_in_the_turns_is_not_out_of_them(listener: Listener, story: str) -> None:
    facts = {fact.observation for fact in listener.listen(story).facts}
    assert "shows-on-power" not in facts and "shows-mid-corner" in facts


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("fork air 35 psi", {"air-fork-main-measured": "35 psi"}),
        ("35 psi in the right leg", {"air-fork-right-measured": "35 psi"}),
        (
            "left leg 28 psi, front tyre 13 psi",
            {"air-fork-left-measured": "28 psi", "front-tyre-gauge": "13 psi"},
        ),
    ],
)
def test_a_pressure_goes_with_what_stands_beside_it(
    listener: Listener, text: str, found: dict[str, str]
) -> None:
    assert readings(listener.listen(text)) == found


def test_two_pressures_of_a_fork_go_each_to_its_leg_and_none_to_the_tyre(
    listener: Listener,
) -> None:
    both = {"air-fork-left-measured": "28 psi", "air-fork-right-measured": "35 psi"}
    story = listener.listen("front dives and bottoms, fork air left leg 28 psi, right leg 35 psi")
    assert readings(story) == both
    assert "weep-which-legs" not in states(story)
    assert readings(listener.listen("left air leg 28 psi and the right one 35 psi")) == both


def test_what_the_manual_says_is_heard_as_the_manuals(listener: Listener) -> None:
    text = "tyres are 36 psi front and 41 psi rear cold, that is what the manual says"
    assert readings(listener.listen(text)) == {
        "front-tyre-gauge": "36 psi",
        "rear-tyre-gauge": "41 psi",
        "manual-front-tyre-pressure": "36 psi",
        "manual-rear-tyre-pressure": "41 psi",
    }
    story = listener.listen("rear sag is 120 mm, the manual says 105")
    assert readings(story) == {
        "rear-race-sag-measured": "120 mm",
        "manual-rear-race-sag": "105 mm",
    }
    unknown = listener.listen("rear sag 120 mm, I do not know what the manual says")
    assert readings(unknown) == {"rear-race-sag-measured": "120 mm"}


@pytest.mark.parametrize(
    ("text", "rested"),
    [
        ("I was tired and slept badly", "yes"),
        ("hung over on sunday", "yes"),
        ("arms were dead before I started", "yes"),
        ("slept well, rear kicks", "no"),
        ("the shock is tired and the rear kicks", None),
        ("hung over the bars and the rear kicked", None),
        ("my arms are tired by lap three", None),
    ],
)
def test_how_the_rider_was_before_the_ride_is_heard(
    listener: Listener, text: str, rested: str | None
) -> None:
    assert states(listener.listen(text)).get("rider-not-rested") == rested


def test_a_new_tyre_brings_that_the_wheel_was_out(listener: Listener) -> None:
    heard = states(listener.listen("fitted a new front tyre, now the front pushes"))
    assert heard["changed-front-tyre-new"] == "yes" and heard["changed-front-wheel-out"] == "yes"
    assert "changed-rear-wheel-out" not in heard
    said = states(listener.listen("fitted a new front tyre. the front wheel was not taken out"))
    assert said.get("changed-front-wheel-out") != "yes"


@pytest.mark.parametrize(
    ("said", "trait", "option"),
    [
        ("my adventure bike is harsh at the front", "class", "adventure"),
        ("harsh front on my big adventure tourer", "class", "adventure"),
        ("it is a trials bike, front is harsh", "class", "trials"),
        ("supermoto, the rear kicks up", "class", "supermoto"),
        ("the dual sport dives", "class", "trail"),
        ("electronic suspension, wallows", "electronics", "fitted"),
        ("no electronic suspension, wallows", "electronics", "none"),
        ("the bike is lowered and it bottoms at the back", "height", "lowered"),
    ],
)
def test_each_kind_of_bike_is_heard(listener: Listener, said: str, trait: str, option: str) -> None:
    assert (trait, option) in [item[:2] for item in listener.listen(said).machine]


@pytest.mark.parametrize(
    "said",
    [
        "fitted a trials tyre on the back, loose rear",
        "she lowered the forks 5 mm and now it headshakes",
        "lowered the tyre pressure, still harsh front",
        "my mate's adventure bike is fine, mine wallows",
    ],
)
def test_what_only_sounds_like_a_kind_of_bike_is_none(listener: Listener, said: str) -> None:
    assert listener.listen(said).machine == ()


@pytest.mark.parametrize(
    ("text", "end"),
    [
        ("front brake is spongy", "front"),
        ("front brake has zero bite", "front"),
        ("brake lever feels spongy", "front"),
        ("the rear brake pedal is mushy", "rear"),
        ("rear brake feels feeble", "rear"),
        ("foot brake is spongy", "rear"),
    ],
)
def test_a_brake_that_feels_weak_is_heard(listener: Listener, text: str, end: str) -> None:
    story = listener.listen(text)
    assert [(f.observation, f.state) for f in story.facts] == [(f"{end}-brake-feel", "yes")]
    assert story.complaints == ()


@pytest.mark.parametrize("text", ["brake feels weak", "weak brakes", "the brakes have no bite"])
def test_which_brake_is_asked_where_nobody_said(listener: Listener, text: str) -> None:
    story = listener.listen(text)
    assert story.facts == ()
    asked = [(q.asks, q.id, q.choices) for q in story.questions]
    assert asked == [("fact", f"{end}-brake-feel", ("yes",)) for end in ("front", "rear")]


@pytest.mark.parametrize(
    "text",
    [
        "brake isn't weak",
        "my arms get weak under braking",
        "the clutch lever feels spongy",
        "the front is weak under braking",
        "if the brakes were weak I would say so",
    ],
)
def test_what_is_no_weak_brake_is_not_asked_about(listener: Listener, text: str) -> None:
    story = listener.listen(text)
    told = {f.observation for f in story.facts if f.state == "yes"} | {
        q.id for q in story.questions
    }
    assert told.isdisjoint({"front-brake-feel", "rear-brake-feel"})


@pytest.mark.parametrize("text", ["rear sag 120", "sag's 120 at the back", "front sag 70"])
def test_a_figure_alone_brings_up_no_complaint(listener: Listener, text: str) -> None:
    story = listener.listen(text)
    assert [f.reading is not None for f in story.facts] == [True]
    assert story.questions == ()
