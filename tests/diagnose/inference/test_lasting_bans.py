"""What forbids riding until certain work is done, and when it was last found so."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose.case.events import (
    Answered,
    Case,
    Complained,
    Corrected,
    Event,
    Rode,
    read_answer,
)
from diagnose.inference.bans import Danger, riding_bans
from diagnose.inference.posterior import Model
from rules.language.schema import Rule
from rules.rulebase import RuleBase

DECK, START = Complained("vibration", "deck"), Complained("no-start")
LOOSE, FIRM = Answered("blade-wobble", "yes"), Answered("blade-wobble", "no")
BLADE, HEIGHTS, FUEL = Corrected("new-blade"), Corrected("set-heights"), Corrected("fill-up")
EMPTY, STALE, FRESH = (Answered("tank-look", state) for state in ("empty", "stale", "fresh"))


def ruled(rules: RuleBase, **settles: tuple[str, ...]) -> Model:
    """Four bans: on a loose blade and on an empty tank until work is done, on bad fuel while it is
    there, and on shaking until the blade or the heights were seen to. `settles` of the blade."""

    def ban(when: dict[str, object], *until: str) -> Rule:
        then = {"do_not_ride": "It is not safe.", **({"until": list(until)} if until else {})}
        return Rule.model_validate({"when": when, "then": then, "source": "made-up"})

    seen = dict(rules.observations)
    seen["blade-wobble"] = seen["blade-wobble"].model_copy(update={"settles": settles})
    bans = {
        "tank-empty": ban({"fact": "tank-look", "is": "empty"}, "fill-up"),
        "blade-loose": ban({"fact": "blade-wobble", "is": "yes"}, "new-blade"),
        "fuel-bad": ban({"fact": "tank-look", "is": "stale"}),
        "shakes": ban({"fact": "vibration/deck", "is": "yes"}, "new-blade", "set-heights"),
    }
    return Model(replace(rules, rules=bans, observations=seen))


@pytest.fixture(scope="module")
def model(mower: RuleBase) -> Model:
    return ruled(mower)


def forbidden(model: Model, *events: Event) -> list[str]:
    return [raised.rule for raised in model.believe(Case(events=events)).findings.do_not_ride]


def test_no_look_lifts_it_but_the_work_does(model: Model) -> None:
    assert forbidden(model, START, LOOSE) == ["blade-loose"]
    assert forbidden(model, START, LOOSE, FIRM) == []  # nothing was done between: it was a slip
    assert forbidden(model, START, LOOSE, FUEL, FIRM) == ["blade-loose"]
    assert forbidden(model, START, LOOSE, FUEL, BLADE) == []
    assert forbidden(model, START, LOOSE, BLADE, FUEL, FIRM) == []
    assert forbidden(model, START, BLADE, LOOSE) == ["blade-loose"]


def test_without_work_named_it_lasts_as_long_as_what_it_rests_on(model: Model) -> None:
    assert forbidden(model, START, STALE) == ["fuel-bad"]
    assert forbidden(model, START, STALE, BLADE, FRESH) == []


def test_what_is_found_so_again_has_to_be_put_right_again(model: Model) -> None:
    again = (START, LOOSE, BLADE, LOOSE)
    assert forbidden(model, *again) == ["blade-loose"]
    assert forbidden(model, *again, FUEL, FIRM) == ["blade-loose"]
    assert forbidden(model, *again, FUEL, BLADE) == []


def test_what_shows_a_fault_that_nobody_mended_is_found_once_only(mower: RuleBase) -> None:
    """A look at wheel heights that were never set is no new finding after the blade was changed."""
    showing = ruled(mower, **{"heights-wrong": ("yes",)})
    assert forbidden(showing, START, LOOSE, BLADE, LOOSE, FUEL, FIRM) == []
    mended = (START, LOOSE, BLADE, HEIGHTS, LOOSE)
    assert forbidden(showing, *mended, FUEL, FIRM) == ["blade-loose"]
    assert forbidden(showing, *mended, BLADE, FIRM) == []
    assert forbidden(showing, START, HEIGHTS, LOOSE, BLADE, FIRM) == []


def test_several_stand_in_the_order_of_their_names(model: Model) -> None:
    assert forbidden(model, START, EMPTY, LOOSE) == ["blade-loose", "tank-empty"]
    both = (START, EMPTY, LOOSE, HEIGHTS, FRESH, FIRM)
    assert forbidden(model, *both) == ["blade-loose", "tank-empty"]
    assert forbidden(model, *both, FUEL) == ["blade-loose"]
    assert forbidden(model, *both, BLADE) == ["tank-empty"]
    assert forbidden(model, START, STALE, LOOSE, HEIGHTS, FIRM) == ["blade-loose", "fuel-bad"]


def test_a_ride_that_still_reports_it_has_found_it_so(model: Model) -> None:
    assert forbidden(model, DECK) == ["shakes"]
    assert forbidden(model, DECK, HEIGHTS) == []
    assert forbidden(model, DECK, FUEL) == ["shakes"]
    assert forbidden(model, DECK, HEIGHTS, Rode("gone")) == []
    assert forbidden(model, DECK, HEIGHTS, Rode("better")) == ["shakes"]
    assert forbidden(model, DECK, HEIGHTS, Rode("better"), FUEL) == ["shakes"]
    assert forbidden(model, DECK, HEIGHTS, Rode("better"), BLADE) == []
    # of another complaint it says nothing
    two = (DECK, START, HEIGHTS)
    assert forbidden(model, *two, Rode("same", "no-start"), Rode("gone", "vibration/deck")) == []


GAP = "plug-gap-reading"


def test_what_only_a_rule_of_thumb_says_makes_no_danger_and_keeps_none_away(
    mower: RuleBase,
) -> None:
    causes = {
        key: cause.model_copy(update={"unsafe": key == "plug-worn"})
        for key, cause in mower.causes.items()
    }

    def chances(ban_from: float, gap: str) -> tuple[float, float, bool]:
        """Of the danger with the reading and without it, and whether riding is forbidden."""
        policy = mower.policy.model_copy(update={"ban_from": ban_from})
        model = Model(replace(mower, causes=causes, policy=policy))
        worn = model.network.cause_index["plug-worn"]
        case = Case(events=(START, Answered("spark-seen", "none")))
        read = case.with_event(read_answer(mower, GAP, gap))
        belief = model.believe(read)
        bans = riding_bans(model, belief)
        assert all(isinstance(ban, Danger) for ban in bans)
        return float(belief.marginal[worn]), float(model.believe(case).marginal[worn]), bool(bans)

    more, without, _ = chances(0.5, "1.2 mm")
    less, _, _ = chances(0.5, "0.6 mm")
    assert less < without < more
    assert chances((without + more) / 2, "1.2 mm")[2] is False
    assert chances(without - 1e-6, "1.2 mm")[2] is True
    assert chances((less + without) / 2, "0.6 mm")[2] is False
    assert chances(less - 1e-6, "0.6 mm")[2] is True
