"""What is offered for a name that is not known is a slip of the pen, never something else."""

from __future__ import annotations

import pytest

from rules.near_words import nearest
from rules.rulebase import RuleBase

SCALE = ("exceptionally unlikely", "very unlikely", "unlikely", "about as likely as not", "likely", "very likely", "virtually certain")  # fmt: skip


@pytest.mark.parametrize(
    ("word", "known", "meant"),
    [
        ("quite likely", SCALE, "likely"),
        ("likly", SCALE, "likely"),
        ("unlikley", SCALE, "unlikely"),
        ("rather unlikely", SCALE, "unlikely"),
        ("verry likely", SCALE, "very likely"),
        ("very likley", SCALE, "very likely"),
        ("often", SCALE, None),
        ("rear-rebound", ["fork-rebound"], None),
        ("rear-rebound", ["fork-rebound", "shock-rebound-clicks"], None),
        ("rear rebound", ["fork rebound", "rear rebounds"], "rear rebounds"),
        ("fork-rebound-clicks", ["shock-rebound-clicks"], None),
        ("fork-rebound-clicks", ["fork-compression-clicks"], None),
        ("front-tyre-gauge", ["rear-tyre-gauge"], None),
        ("front-tyre-gage", ["rear-tyre-gauge", "front-tyre-gauge"], "front-tyre-gauge"),
        ("front-tyre-pressure-high", ["front-tyre-pressure-low"], None),
        ("frnt-tyre-gauge", ["front-tyre-gauge", "rear-tyre-gauge"], "front-tyre-gauge"),
        ("even", ["uneven"], None),
        ("no-strat", ["no-start"], "no-start"),
        ("fil-up", ["fill-up"], "fill-up"),
        ("lnikage", ["linkage", "rider"], "linkage"),
        ("tyre", ["tyres"], "tyres"),
        ("spring", ["string-theory"], None),
    ],
)  # fmt: skip
def test_what_was_meant(word: str, known: list[str], meant: str | None) -> None:
    assert nearest(word, known) == meant


def test_no_end_of_the_bike_is_offered_for_the_other(offroad: RuleBase) -> None:
    """Every id of the shipped pack with its end turned round, and the right one taken away."""
    known = [key for _, key in offroad.origins if key]
    turned = {"front": "rear", "rear": "front", "fork": "shock", "shock": "fork"}
    for key in known:
        words = key.split("-")
        if len(set(words) & set(turned)) != 1:  # one that names both ends is its own
            continue
        other = "-".join(turned.get(word, word) for word in words)
        offered = nearest(other, [name for name in known if name != other])
        assert offered != key, f"{other} -> {offered}"
