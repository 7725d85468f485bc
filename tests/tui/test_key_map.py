"""One key map: a letter does the same thing on every screen and line by line, under one name."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterator

import pytest
from textual.binding import Binding
from textual.screen import Screen
from textual.widget import Widget

import tui
from rules.rulebase import RuleBase
from tui.plain.offers import observation_offers, place_offers, work_offers
from tui.terminal.keys import KEYS
from tui.widgets.action_pad import Does

# a letter that stands before a row picks it: the ticks of the check-in, a long list to pick from
_ROWS = ("tick", "pick")
# what answers offer; the answers themselves are checked below
_ANSWERS = ("answer", "way")


def _modules() -> Iterator[object]:
    for found in pkgutil.walk_packages(tui.__path__, "tui."):
        if not found.name.startswith(("tui.web", "tui.cli")):
            yield importlib.import_module(found.name)


def _bindings() -> Iterator[tuple[str, str, Binding]]:
    """(screen, letter, binding) of every single letter or sign bound on any screen or widget."""
    for module in _modules():
        for name, kind in vars(module).items():
            if not isinstance(kind, type) or not issubclass(kind, (Screen, Widget)):
                continue
            for bound in vars(kind).get("BINDINGS", ()):
                assert isinstance(bound, Binding)
                for key in bound.key.split(","):
                    sign = {"question_mark": "?"}.get(key, key)
                    if len(sign) == 1 and not sign.isdigit():
                        yield name, sign, bound


_FOUND = list(_bindings())


def test_every_letter_bound_on_a_screen_has_a_name_that_the_map_gives_it() -> None:
    assert len(_FOUND) > 100
    wrong = [
        f"{screen}: {sign} {bound.description}"
        for screen, sign, bound in _FOUND
        if bound.action.split("(")[0] not in (*_ROWS, *_ANSWERS)
        and (sign not in KEYS or bound.description not in (*KEYS[sign].names, "Back"))
        # capitals narrow what a list shows
        and not sign.isupper()
    ]
    assert wrong == []


def test_no_name_stands_under_two_letters() -> None:
    names = [name for key in KEYS.values() for name in key.names]
    assert len(names) == len(set(names))


def test_the_answers_of_every_step_are_numbers_or_keys_that_answer(offroad: RuleBase) -> None:
    """No letter that opens something is an answer to anything."""
    found = {
        offer.key for name in offroad.observations for offer in observation_offers(offroad, name)
    }
    found |= {o.key for name in offroad.complaints for o in place_offers(offroad, name)}
    found |= {offer.key for offer in work_offers(next(iter(offroad.corrections)))}
    assert {key for key in found if not key.isdigit()} == {"y", "n", "?", "x", "f"}


def test_the_buttons_of_a_screen_do_what_its_keys_do() -> None:
    wrong = []
    for module in _modules():
        pads = [item for item in vars(module).values() if isinstance(item, tuple)]
        does = [one for pad in pads for one in pad if isinstance(one, Does)]
        kinds = [
            kind
            for kind in vars(module).values()
            if isinstance(kind, type) and kind.__module__ == module.__name__  # type: ignore[attr-defined]
        ]
        bound = {
            (key, binding.action)
            for kind in kinds
            for binding in vars(kind).get("BINDINGS", ())
            for key in binding.key.split(",")
        }
        wrong += [
            f"{module.__name__}: {one.key} {one.label}"  # type: ignore[attr-defined]
            for one in does
            if len(one.key) == 1 and one.key.isalpha() and (one.key, one.action) not in bound
        ]
    assert wrong == []


@pytest.mark.parametrize("letter", sorted(KEYS))
def test_a_letter_of_the_map_does_something_somewhere(letter: str) -> None:
    assert any(sign == letter for _, sign, _ in _FOUND)
