"""Which causes an answer settles or clears, and beside what it settles nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose.case.events import Answered, Case, Complained, Corrected, Event
from diagnose.inference.evidence import settled_by
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity

START = Complained("no-start")
EMPTY, FRESH = Answered("tank-look", "empty"), Answered("tank-look", "fresh")


@pytest.fixture(scope="module")
def settling(mower: RuleBase) -> RuleBase:
    """No spark settles a worn plug, unless the tank is empty or stale; a gap does so too."""
    seen = dict(mower.observations)
    seen["spark-seen"] = seen["spark-seen"].model_copy(
        update={
            "settles": {"plug-worn": ("none",)},
            "unsettled_by": {"tank-look": ("empty", "stale")},
        }
    )
    seen["plug-gap-reading"] = seen["plug-gap-reading"].model_copy(
        update={"settles": {"plug-worn": ("wide",)}}
    )
    return replace(mower, observations=seen)


def by_spark(rules: RuleBase, state: str, *events: Event) -> tuple[tuple[str, ...], ...]:
    case = Case(events=(START, *events, Answered("spark-seen", state)))
    known = [event for event in events if isinstance(event, Answered)]
    states = {event.observation: event.state for event in known if event.state is not None}
    return settled_by(rules, case, {**states, "spark-seen": state}, "spark-seen", state)


def test_a_look_settles_what_it_shows_and_clears_nothing(settling: RuleBase) -> None:
    assert by_spark(settling, "none") == (("plug-worn",), ())
    assert by_spark(settling, "none", FRESH) == (("plug-worn",), ())
    assert by_spark(settling, "sparks") == ((), ())
    case = Case(events=(START, EMPTY))
    assert settled_by(settling, case, {"tank-look": "empty"}, "tank-look", "empty") == ((), ())
    assert settled_by(settling, case, {}, "no-such-thing", "yes") == ((), ())


def test_beside_what_may_make_it_so_it_settles_nothing_until_that_is_put_right(
    settling: RuleBase,
) -> None:
    assert by_spark(settling, "none", EMPTY) == ((), ())
    assert by_spark(settling, "none", EMPTY, Corrected("new-blade")) == ((), ())
    assert by_spark(settling, "none", EMPTY, Corrected("fill-up")) == (("plug-worn",), ())
    assert by_spark(settling, "none", Corrected("fill-up"), EMPTY) == ((), ())


@pytest.mark.parametrize(
    ("gap", "state", "own", "expected"),
    [
        (1.2, "wide", True, (("plug-worn",), ())),
        (0.3, "narrow", True, ((), ())),
        (0.6, "ok", True, ((), ("plug-worn",))),
        (1.2, "wide", False, ((), ())),
        (0.6, "ok", False, ((), ())),
    ],
)
def test_a_reading_settles_and_clears_by_the_machines_own_figure(
    settling: RuleBase,
    gap: float,
    state: str,
    own: bool,
    expected: tuple[tuple[str, ...], tuple[str, ...]],
) -> None:
    reading = Answered("plug-gap-reading", reading=Quantity(gap, "mm"))
    targets = {"plug-gap": Quantity(0.6, "mm")} if own else {}
    case = Case({}, targets, (START, reading))
    states = {"plug-gap-reading": state}
    assert settled_by(settling, case, states, "plug-gap-reading", state) == expected
