"""Small words that turn what is said: of when, of whom, whether at all, and which figure it is."""

from __future__ import annotations

import pytest

from diagnose.listening.heard import Story
from diagnose.listening.listen import Listener
from rules.rulebase import RuleBase

SAID = [
    ("it was 4 below zero", "air-temperature=-4 °C"),
    ("it was 4 below freezing", "air-temperature=-4 °C"),
    ("it was 4 below when we left", "air-temperature=-4 °C"),
    ("it was 4 below this morning", "air-temperature=-4 °C"),
    ("it was 4 below outside", "air-temperature=-4 °C"),
    ("it was 4 below today", "air-temperature=-4 °C"),
    ("it was 4 below at the track", "air-temperature=-4 °C"),
    ("it was 4 below. Front is harsh", "harsh/front; air-temperature=-4 °C"),
    ("it was ten degrees below freezing", "air-temperature=-10 °C"),
    ("i took 2 psi out of the front tyre", ""),
    ("i take 2 psi out of the front tyre", ""),
    ("i let 2 psi out of the front tyre", ""),
    ("i bled 2 psi out of the front tyre", ""),
    ("let the front tyre down 2 psi more", ""),
    ("went 2 clicks in on the fork rebound", "changed-settings=yes"),
    (
        "fork rebound moved to 3 clicks out",
        "changed-settings=yes; fork-rebound-clicks-noted=3 clicks",
    ),
    ("turned the fork rebound 2 clicks out, made it better", "changed-settings=yes"),
    ("fork rebound now 3 clicks out", "fork-rebound-clicks-noted=3 clicks"),
    (
        "both forks up 6 mm in the clamps",
        "changed-clamps-touched=yes; fork-protrusion-left=6 mm; fork-protrusion-right=6 mm",
    ),
    ("both ends are harsh", "harsh/front; harsh/rear"),
    ("both tyres 13 psi", "front-tyre-gauge=13 psi; rear-tyre-gauge=13 psi"),
    ("each tyre 13 psi", "figure 13 psi?"),
    ("rear sag is 3 5/16 inches", "rear-race-sag-measured=3.312 in"),
    ("rear sag is 3 2/3 inches", "rear-race-sag-measured=3.667 in"),
    ("rear sag is 3¾ inches", "rear-race-sag-measured=3.75 in"),
    ("front disc runout is fifteen hundredths", "front-disc-runout=0.15 mm"),
    ("front disc is out by twelve thou", "front-disc-runout=0.012 in"),
    ("front disc is out a tenth of a mm", "front-disc-runout=0.1 mm"),
    ("front disc runout 0.15mm", "front-disc-runout=0.15 mm"),
    ("front disc runout is 8 thousandths of an inch", "front-disc-runout=0.008 in"),
    ("the fork doesn't pack down any more", "not packing, denied"),
    ("the fork does not pack down anymore", "not packing, denied"),
    ("the rear no longer kicks", "not rear-kick, denied"),
    ("the fork was harsh til I bled it", "changed-never-bled=no; not harsh, past"),
    ("the rear keeps kicking me", "rear-kick"),
    ("a mate with a harsh fork", "not harsh, of another bike"),
    ("revalved by a mate and the fork is harsh", "harsh/front; changed-suspension-apart=yes"),
    ("fork oil changed by my dad, now it wallows", "wallowing; changed-suspension-apart=yes"),
    ("like a dog it squats", "squatting"),
    ("what is left is a knock", "knock; place knock?"),
    ("what was left were clunks", "knock; place knock?"),
    ("what is a harsh fork?", "not harsh, supposed"),
    (
        "nearly 2900 metres up since the bleed",
        "changed-altitude=yes; height-gained-since-bleed=2900 m",
    ),
    ("almost 3000 ft up since bleeding", "changed-altitude=yes; height-gained-since-bleed=3000 ft"),
    ("nearly took my arm off, wobbling", "headshake"),
    ("it was harsh over the winter", "changed-nothing-slow-onset=yes; not harsh, past"),
    ("the fork was harsh for a season", "not harsh, past"),
    ("when it is cold the fork is harsh", "harsh/front; better-when-warm=yes"),
    ("whenever i brake it dives", "diving"),
    ("while cornering it pushes wide", "pushing"),
    ("i'm 82 kg", "rider-weight=82 kg"),
    ("i've 82 kg with gear", "rider-weight=82 kg"),
    ("it's harsh at the front", "harsh/front"),
    ("the fork's harsh", "harsh/front"),
    ("the rear's at 12 psi", "rear-tyre-gauge=12 psi"),
    ("front-end is harsh", "harsh/front"),
    ("it's 13psi front & 12psi rear", "front-tyre-gauge=13 psi; rear-tyre-gauge=12 psi"),
    ("l/h fork leg 6 mm up", "fork-protrusion-left=6 mm"),
    ("r/h leg rebound 12 clicks", "fork-rebound-clicks-right=12 clicks"),
    ("n/s fork leaks", "seal-weep/front; weep-which-legs=one"),
    ("o/s fork leaks", "seal-weep/front; weep-which-legs=one"),
    ("doing 110 km/h on straights it shakes", "headshake; shows-straight-fast=yes"),
    ("at 70mph it shakes", "headshake; shows-straight-fast=yes"),
    ("30 n·m on the upper clamp", "upper-clamp-torque-found=30 N·m"),
    ("upper clamp 12 ft-lbs", "upper-clamp-torque-found=12 lbf·ft"),
    ("lower clamp 12 ft·lb", "lower-clamp-torque-found=12 lbf·ft"),
    ("12 nm lower clamp", "lower-clamp-torque-found=12 N·m"),
    ("1,200 m of climb since the bleed", "changed-altitude=yes; height-gained-since-bleed=1200 m"),
    ("front tyre 13 psi according to the manual", "manual-front-tyre-pressure=13 psi"),
    ("front tyre by the book 13 psi", "manual-front-tyre-pressure=13 psi"),
    ("per the manual front tyre 13 psi", "manual-front-tyre-pressure=13 psi"),
    ("in the handbook it says 13 psi front", "manual-front-tyre-pressure=13 psi"),
    ("rear sag in the manual that is 105 mm", "manual-rear-race-sag=105 mm"),
    ("from the manual rear sag 105 mm", "manual-rear-race-sag=105 mm"),
    ("aiming for 105 mm of rear sag", "not rear-race-sag-measured, a figure wanted, not read"),
    ("currently 105 mm of rear sag", "rear-race-sag-measured=105 mm"),
    ("rear sag was 98 mm and is currently 105", "rear-race-sag-measured=105 mm"),
    (
        "from 12 to 8 clicks fork rebound",
        "fork-rebound-clicks-noted=8 clicks; not fork-rebound-clicks-noted, a figure wanted, not read",
    ),
    ("64 kg last year, 70 now", "rider-weight=70 kg; not rider-weight, past"),
    ("me at 82 kg", "rider-weight=82 kg"),
    ("in 2019 I bought it, 40 hours on the forks", "hours-fork-service=40 h"),
    ("the 2021 has 40 h on the fork oil", "hours-fork-service=40 h"),
    ("the book says 13 psi front", "manual-front-tyre-pressure=13 psi"),
    (
        "13 psi in the front, that is what the manual says",
        "front-tyre-gauge=13 psi; manual-front-tyre-pressure=13 psi",
    ),
    (
        "i run 13 psi by the book in the front tyre",
        "front-tyre-gauge=13 psi; manual-front-tyre-pressure=13 psi",
    ),
    (
        "rear sag is 120, the manual says 105",
        "rear-race-sag-measured=120 mm; manual-rear-race-sag=105 mm",
    ),
    ("upper clamp at 20 Nm by the book", "manual-upper-clamp-torque=20 N·m"),
    (
        "front tyre 13 psi as per the manual",
        "front-tyre-gauge=13 psi; manual-front-tyre-pressure=13 psi",
    ),
    (
        "we run 13 psi by the book in front",
        "front-tyre-gauge=13 psi; manual-front-tyre-pressure=13 psi",
    ),
    (
        "he runs 13 psi by the book in front",
        "front-tyre-gauge=13 psi; manual-front-tyre-pressure=13 psi",
    ),
    (
        "the manual says sag 105, and I have 98",
        "manual-rear-race-sag=105 mm; rear-race-sag-measured=98 mm",
    ),
    (
        "front tyre 11 psi. The sticker wants 13",
        "front-tyre-gauge=11 psi; manual-front-tyre-pressure=13 psi",
    ),
    (
        "mine is 98 mm of rear sag, book 105",
        "rear-race-sag-measured=98 mm; manual-rear-race-sag=105 mm",
    ),
    ("rear sag came from 12 up to 105 mm", "rear-race-sag-measured=105 mm"),
    ("rear sag 98 mm last week, 105 now", "rear-race-sag-measured=105 mm"),
    (
        "went from 12 clicks of fork rebound to 8",
        "changed-settings=yes; fork-rebound-clicks-noted=8 clicks",
    ),
    ("fork rebound 12 clicks, now 8", "fork-rebound-clicks-noted=8 clicks"),
    ("fork rebound was 12 clicks, currently 8", "fork-rebound-clicks-noted=8 clicks"),
    ("front disc runout is 8 thou", "front-disc-runout=0.008 in"),
    ("front disc runout is 8 thous", "front-disc-runout=0.008 in"),
    ("front disc runout is one thousandth of an inch", "front-disc-runout=0.001 in"),
    ("front disc runout is 8 thousandths of an inch", "front-disc-runout=0.008 in"),
    ("front disc runout is one tenth of a mm", "front-disc-runout=0.1 mm"),
    ("front disc runout is 2 tenths of a mm", "front-disc-runout=0.2 mm"),
    ("front disc runout is 20 hundredths of a mm", "front-disc-runout=0.2 mm"),
    ("front disc runout is one hundredth of an inch", "front-disc-runout=0.01 in"),
    ("rear sag is ten point five cm", "rear-race-sag-measured=10.5 cm"),
    ("rear sag is nine point nine nine cm", "rear-race-sag-measured=9.99 cm"),
    ("rear sag is ten point oh cm", "rear-race-sag-measured=10 cm"),
    ("front tyre at twelve point two five psi", "front-tyre-gauge=12.25 psi"),
    ("front tyre at thirteen point o psi", "front-tyre-gauge=13 psi"),
    ("not the front, the rear is harsh", "harsh/rear"),
    ("it is not the rear but the front that is harsh", "harsh/front"),
    ("harsh at the rear, not the front", "harsh/rear"),
    ("the rear is fine, the front harsh", "harsh/front"),
    ("front is fine, rear kicks", "rear-kick"),
    ("harsh front but not rear", "harsh/front"),
]
"""What is said and what is heard: complaints, facts, readings, what is asked (`?`) and what is not
taken, with why."""


@pytest.fixture(scope="module")
def by_phrases(offroad: RuleBase) -> Listener:
    """Without the weights of words, which are learned anew now and then."""
    return Listener(offroad, phrases_only=True)


def heard_in(story: Story) -> list[str]:
    found = [one.complaint + (f"/{one.place}" if one.place else "") for one in story.complaints]
    found += [f"{fact.observation}={fact.reading or fact.state}" for fact in story.facts]
    found += [f"{one.asks} {one.id}?" for one in story.questions if one.asks != "complaint"]
    return found + [f"not {one.id}, {one.why}" for one in story.not_taken]


@pytest.mark.parametrize(("text", "heard"), SAID, ids=[text for text, _ in SAID])
def test_small_words_are_minded(by_phrases: Listener, text: str, heard: str) -> None:
    assert "; ".join(heard_in(by_phrases.listen(text))) == heard


@pytest.mark.parametrize(
    "text",
    [
        "the fork is harsh| it squats",
        "my mate had a bent rim| the rear kicks",
        "no headshake| it wallows in sand",
        "front tyre 13 psi| rear sag 105 mm",
        "the seals used to weep| it dives",
        "rear sag 98 mm| 12 psi front",
    ],
)
def test_a_line_ends_a_sentence_as_a_stop_does(by_phrases: Listener, text: str) -> None:
    lines, stops = (by_phrases.listen(text.replace("|", mark)) for mark in ("\n", "."))
    together = by_phrases.listen(text.replace("|", ""))
    assert heard_in(lines) == heard_in(stops)
    assert heard_in(stops) != [] != heard_in(together)
