"""What rides prove, in words, from one complaint and one change to several of each."""

from __future__ import annotations

import pytest

from diagnose.case.events import (
    RIDE_REPORTS,
    Case,
    Complained,
    Corrected,
    Declined,
    Event,
    Rode,
)
from diagnose.records.cases.proof import Verdict, helped, judge
from rules.rulebase import RuleBase

COMPLAINTS = {"N": Complained("no-start"), "V": Complained("vibration", "deck")}


def told(text: str) -> Case:
    """`N -new-plug fill-up gone@N`: a complaint, what was declined, what was put right, and a ride
    about the complaint named, else about all that is felt."""
    events: list[Event] = []
    for word in text.split():
        report, _, about = word.partition("@")
        if word in COMPLAINTS:
            events.append(COMPLAINTS[word])
        elif word.startswith("-"):
            events.append(Declined(word[1:]))
        elif report in RIDE_REPORTS:
            key = COMPLAINTS[about].key if about else None
            events.append(Rode(report, key))  # type: ignore[arg-type]
        else:
            events.append(Corrected(word))
    return Case(events=tuple(events))


VERDICTS = [
    ("N", (), Verdict("left-as-it-is", None, "Nothing was put right.", (), ()), ""),
    (
        "N -new-plug -fill-up",
        (),
        Verdict(
            "left-as-it-is",
            None,
            "Nothing was put right. Declined: Fill with fresh fuel; Fit a new plug.",
            (),
            (),
        ),
        "",
    ),
    (
        "N fill-up",
        (),
        Verdict(
            "not-proven", "fill-up", "It has not been ridden since the last correction.", (), ()
        ),
        "",
    ),
    (
        "N same fill-up",
        (),
        Verdict(
            "not-proven", "fill-up", "It has not been ridden since the last correction.", (), ()
        ),
        "",
    ),
    (
        "N fill-up same",
        (),
        Verdict("not-proven", "fill-up", "The ride after it: same.", (), ()),
        "",
    ),
    (
        "N fill-up worse",
        (),
        Verdict("not-proven", "fill-up", "The ride after it: worse.", (), ()),
        "",
    ),
    (
        "N fill-up better",
        (),
        Verdict("improved", "fill-up", "Better, but not gone.", (), ()),
        "fill-up better",
    ),
    (
        "N fill-up gone",
        (),
        Verdict(
            "proven",
            "fill-up",
            "Fill with fresh fuel, and the ride after it: gone.",
            ("fill-up",),
            (),
        ),
        "fill-up gone",
    ),
    (
        "N fill-up worse gone",
        (),
        Verdict(
            "not-proven",
            "fill-up",
            "It went on after the correction and stopped later with nothing more changed.",
            (),
            (),
        ),
        "",
    ),
    (
        "N fill-up better gone",
        (),
        Verdict(
            "proven",
            "fill-up",
            "Fill with fresh fuel, and the ride after it: gone.",
            ("fill-up",),
            (),
        ),
        "fill-up gone",
    ),
    (
        "N fill-up new-plug gone",
        (),
        Verdict(
            "not-separable",
            None,
            "2 things were changed before one ride; which of them did it is open.",
            (),
            (),
        ),
        "fill-up gone, new-plug gone",
    ),
    (
        "N fill-up new-plug better",
        (),
        Verdict(
            "not-separable",
            None,
            "2 things were changed before one ride; which of them did it is open.",
            (),
            (),
        ),
        "fill-up better, new-plug better",
    ),
    (
        "N fill-up new-plug same",
        (),
        Verdict("not-proven", "new-plug", "The ride after it: same.", (), ()),
        "",
    ),
    (
        "N fill-up better new-plug gone",
        (),
        Verdict(
            "proven",
            "new-plug",
            "2 things were put right, one after the other (1 Fill with fresh fuel, and the ride after it: better; 2 Fit a new plug, and the ride after it: gone). The credit is shared between them.",
            ("new-plug",),
            ("fill-up", "new-plug"),
        ),
        "fill-up better, new-plug gone",
    ),
    (
        "N fill-up same new-plug gone",
        (),
        Verdict(
            "proven",
            "new-plug",
            "Fit a new plug, and the ride after it: gone.",
            ("new-plug",),
            (),
        ),
        "new-plug gone",
    ),
    (
        "N fill-up better new-plug better clean-carburettor gone",
        (),
        Verdict(
            "proven",
            "clean-carburettor",
            "3 things were put right, one after the other (1 Fill with fresh fuel, and the ride after it: better; 2 Fit a new plug, and the ride after it: better; 3 Clean the carburettor, and the ride after it: gone). The credit is shared between them.",
            ("clean-carburettor",),
            ("fill-up", "new-plug", "clean-carburettor"),
        ),
        "fill-up better, new-plug better, clean-carburettor gone",
    ),
    (
        "N set-heights fill-up gone",
        (),
        Verdict(
            "proven",
            "fill-up",
            "Fill with fresh fuel, and the ride after it: gone.",
            ("fill-up",),
            (),
        ),
        "fill-up gone",
    ),
    (
        "N set-heights gone",
        (),
        Verdict(
            "proven",
            "set-heights",
            "Set the wheel heights, and the ride after it: gone.",
            ("set-heights",),
            (),
        ),
        "set-heights gone",
    ),
    ("N gone", (), Verdict("left-as-it-is", None, "Nothing was put right.", (), ()), ""),
    (
        "V set-heights new-blade gone",
        (),
        Verdict(
            "not-separable",
            None,
            "2 things were changed before one ride; which of them did it is open.",
            (),
            (),
        ),
        "set-heights gone, new-blade gone",
    ),
    (
        "N V fill-up gone@N",
        (),
        Verdict(
            "not-proven", "fill-up", "Not every complaint was asked about after the ride.", (), ()
        ),
        "fill-up gone",
    ),
    (
        "N V fill-up gone@N same@V",
        (),
        Verdict(
            "improved",
            "fill-up",
            "Not every complaint is gone. Will not start: fill with fresh fuel, and the ride after it: gone. Shakes (deck): the ride after it: same.",
            (),
            (),
        ),
        "fill-up gone",
    ),
    (
        "N V fill-up gone@N same@V new-blade gone@V",
        (),
        Verdict(
            "proven",
            "fill-up",
            "Will not start: fill with fresh fuel, and the ride after it: gone. Shakes (deck): fit a new blade, and the ride after it: gone.",
            ("fill-up", "new-blade"),
            (),
        ),
        "fill-up gone, new-blade gone",
    ),
    (
        "N V fill-up gone@N same@V new-blade gone@V gone@N",
        (),
        Verdict(
            "proven",
            "new-blade",
            "Will not start: 2 things were put right, one after the other (1 Fill with fresh fuel, and the ride after it: gone; 2 Fit a new blade, and the ride after it: gone). The credit is shared between them. Shakes (deck): fit a new blade, and the ride after it: gone.",
            ("new-blade",),
            ("fill-up", "new-blade"),
        ),
        "fill-up gone, new-blade gone",
    ),
    (
        "N V fill-up better@N same@V",
        (),
        Verdict(
            "improved",
            "fill-up",
            "Not every complaint is gone. Will not start: better, but not gone. Shakes (deck): the ride after it: same.",
            (),
            (),
        ),
        "fill-up better",
    ),
    (
        "N V fill-up new-blade gone@N gone@V",
        (),
        Verdict(
            "proven",
            "fill-up",
            "Will not start: fill with fresh fuel, and the ride after it: gone. Shakes (deck): fit a new blade, and the ride after it: gone.",
            ("fill-up", "new-blade"),
            (),
        ),
        "fill-up gone, new-blade gone",
    ),
    (
        "N V fill-up new-blade gone@N better@V",
        (),
        Verdict(
            "improved",
            "new-blade",
            "Not every complaint is gone. Will not start: fill with fresh fuel, and the ride after it: gone. Shakes (deck): better, but not gone.",
            (),
            (),
        ),
        "fill-up gone, new-blade better",
    ),
    (
        "N V new-blade set-heights fill-up gone@N gone@V",
        (),
        Verdict(
            "proven",
            "fill-up",
            "Will not start: fill with fresh fuel, and the ride after it: gone. Shakes (deck): 2 things were changed before one ride; which of them did it is open.",
            ("fill-up",),
            (),
        ),
        "new-blade gone, set-heights gone, fill-up gone",
    ),
    (
        "N fill-up gone V",
        (),
        Verdict(
            "improved",
            "fill-up",
            "Since then the rider complains of something more, which no ride has settled.",
            (),
            (),
        ),
        "fill-up gone",
    ),
    (
        "N fill-up same V",
        (),
        Verdict(
            "not-proven",
            "fill-up",
            "Since then the rider complains of something more, which no ride has settled.",
            (),
            (),
        ),
        "",
    ),
    (
        "N V fill-up better@N same@V new-plug gone@N same@V new-blade gone@V",
        (),
        Verdict(
            "proven",
            "new-plug",
            "Will not start: 2 things were put right, one after the other (1 Fill with fresh fuel, and the ride after it: better; 2 Fit a new plug, and the ride after it: gone). The credit is shared between them. Shakes (deck): fit a new blade, and the ride after it: gone.",
            ("new-plug", "new-blade"),
            ("fill-up", "new-plug"),
        ),
        "fill-up better, new-plug gone, new-blade gone",
    ),
    (
        "N V fill-up gone@N better@V",
        (),
        Verdict(
            "improved",
            "fill-up",
            "Not every complaint is gone. Will not start: fill with fresh fuel, and the ride after it: gone. Shakes (deck): better, but not gone.",
            (),
            (),
        ),
        "fill-up gone",
    ),
    (
        "N fill-up better",
        ("Plug gap",),
        Verdict(
            "not-separable",
            None,
            "2 things were changed before one ride (besides the correction: Plug gap); which of them did it is open.",
            (),
            (),
        ),
        "fill-up better",
    ),
    (
        "N fill-up new-plug gone",
        ("Plug gap", "Lever"),
        Verdict(
            "not-separable",
            None,
            "4 things were changed before one ride (besides the correction: Plug gap; Lever); which of them did it is open.",
            (),
            (),
        ),
        "fill-up gone, new-plug gone",
    ),
    (
        "N fill-up same",
        ("Plug gap",),
        Verdict("not-proven", "fill-up", "The ride after it: same.", (), ()),
        "",
    ),
    (
        "N V fill-up gone@N same@V",
        ("Plug gap",),
        Verdict(
            "improved",
            "fill-up",
            "Not every complaint is gone. Will not start: 2 things were changed before one ride (besides the correction: Plug gap); which of them did it is open. Shakes (deck): the ride after it: same.",
            (),
            (),
        ),
        "fill-up gone",
    ),
]
"""What happened, what else was changed, the verdict, and what helped."""


@pytest.mark.parametrize(("text", "besides", "verdict", "which"), VERDICTS)
def test_a_verdict_says_what_rides_prove(
    mower: RuleBase, text: str, besides: tuple[str, ...], verdict: Verdict, which: str
) -> None:
    assert judge(mower, told(text), besides) == verdict
    found = helped(mower, told(text))
    assert ", ".join(f"{name} {report}" for name, report in found.items()) == which


def test_what_is_handed_over_ends_so_whatever_rides_said(mower: RuleBase) -> None:
    for text, last in (("N", None), ("N fill-up gone", "fill-up")):
        verdict = judge(mower, told(text), (), handed_over=True)
        assert verdict == Verdict("handed-over", last, "Handed to a specialist.")
