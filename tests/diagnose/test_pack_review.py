"""Doubts about packs that load."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from diagnose.pack_review import review
from rules.loader import load_pack
from rules.rulebase import RuleBase

Edit = Callable[..., Path]


def test_a_tidy_pack_raises_only_what_is_really_doubtful(mower: RuleBase) -> None:
    assert {(doubt.code, doubt.entry) for doubt in review(mower)} == {
        ("no-caution", "observations.carburettor-inside"),
        ("no-caution", "corrections.clean-carburettor"),
    }


@pytest.mark.parametrize(
    ("old", "new", "code", "entry"),
    [
        (
            "tank-look: {empty: virtually certain}",
            "tank-look: {empty: unlikely}",
            "unconfirmed",
            "causes.no-fuel",
        ),
        (
            "{no-start: virtually certain, tank-look: {empty: virtually certain}}",
            "{no-start: likely, tank-look: {stale: very likely}, stood-all-winter: very likely, sat-and-stale: likely}",
            "not-told-apart",
            "causes.no-fuel",
        ),
        (
            "hit-a-stone: very likely",
            "hit-a-stone: unlikely",
            "tells-nothing",
            "observations.hit-a-stone",
        ),
        ("    safety: true\n", "", "no-safety-check", "causes.blade-bent"),
        ("what: The tank is empty.", f"what: {'Much too long. ' * 38}", "wordy", "causes.no-fuel"),
    ],
)
def test_each_kind_of_doubt(edited_pack: Edit, old: str, new: str, code: str, entry: str) -> None:
    found = review(load_pack(edited_pack(old, new)))
    assert (code, entry) in {(doubt.code, doubt.entry) for doubt in found}


def test_a_pair_listed_as_not_separable_is_no_doubt(edited_pack: Edit) -> None:
    same = "{no-start: likely, tank-look: {stale: very likely}, stood-all-winter: very likely, sat-and-stale: likely}"
    folder = edited_pack(
        "{no-start: virtually certain, tank-look: {empty: virtually certain}}\n",
        f"{same}\n    not_separable_from: [stale-fuel]\n",
    )
    text = (folder / "pack.yaml").read_text(encoding="utf-8")
    assert "not_separable_from" in text
    codes = {(doubt.code, doubt.entry) for doubt in review(load_pack(folder))}
    assert ("not-told-apart", "causes.no-fuel") not in codes


def test_doubts_say_where(mower: RuleBase) -> None:
    doubt = review(mower)[0]
    assert str(doubt).startswith("mower/pack.yaml:")
    assert doubt.line == mower.origins[("observations", "carburettor-inside")].line
