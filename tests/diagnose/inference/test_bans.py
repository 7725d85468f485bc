"""What forbids riding, and from which chance on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from diagnose.case.events import Answered, Case, Corrected
from diagnose.findings.concluding import Raised
from diagnose.inference.bans import Ban, Danger, riding_bans
from diagnose.inference.confirming import checks_by_cause, is_check
from diagnose.inference.found_faults import FoundFault, found_faults
from diagnose.inference.posterior import Model
from diagnose.inference.shifts import Shift, moves_by_event
from rules.rulebase import Link, Node, RuleBase

MakeCase = Callable[..., Case]
WOBBLES = Answered("blade-wobble", state="yes")


def changed(rules: RuleBase, *unsafe: str, **policy: float) -> Model:
    """The pack with other unsafe causes and another policy, and no rule that forbids riding."""
    causes = {
        key: cause.model_copy(update={"unsafe": key in unsafe})
        for key, cause in rules.causes.items()
    }
    seen = dict(rules.observations)
    seen["blade-wobble"] = seen["blade-wobble"].model_copy(
        update={"settles": {"blade-bent": ("yes",)}}
    )
    ruled = {key: rule for key, rule in rules.rules.items() if key != "blade-loose"}
    return Model(
        replace(
            rules,
            causes=causes,
            observations=seen,
            rules=ruled,
            policy=rules.policy.model_copy(update=policy),
        )
    )


def bans(model: Model, case: Case) -> tuple[Ban, ...]:
    return riding_bans(model, model.believe(case))


def test_danger_forbids_riding_from_the_chance_that_the_pack_says(
    mower: RuleBase, make_case: MakeCase
) -> None:
    case = make_case(mower, "vibration/deck", hit_a_stone="yes")
    belief = changed(mower).believe(case)
    chance = float(belief.marginal[changed(mower).network.cause_index["blade-bent"]])
    assert 0.3 < chance < 0.9
    assert bans(changed(mower, "blade-bent", ban_from=chance + 1e-9), case) == ()
    (ban,) = bans(changed(mower, "blade-bent", ban_from=chance - 1e-9), case)
    assert isinstance(ban, Danger)
    assert ban.chance == pytest.approx(chance)
    assert ban.causes == ("blade-bent",)
    assert bans(changed(mower, "heights-wrong", ban_from=chance - 1e-9), case) == ()


def test_dangers_count_together_and_the_likely_ones_are_named(
    mower: RuleBase, make_case: MakeCase
) -> None:
    case = make_case(mower, "vibration/deck", hit_a_stone="yes")
    both = changed(mower, "blade-bent", "heights-wrong", ban_from=0.01, safety_floor=0.001)
    belief = both.believe(case)
    bent, askew = (
        float(belief.marginal[both.network.cause_index[cause]])
        for cause in ("blade-bent", "heights-wrong")
    )
    assert askew < bent / 2
    (ban,) = riding_bans(both, belief)
    assert isinstance(ban, Danger)
    assert bent < ban.chance < bent + askew
    assert ban.causes == ("blade-bent",)
    level = make_case(mower, "vibration/deck", left_height="30 mm", right_height="60 mm")
    (ban,) = bans(both, level)
    assert isinstance(ban, Danger) and ban.causes[0] == "heights-wrong"


def test_a_danger_below_the_floor_is_not_named(mower: RuleBase, make_case: MakeCase) -> None:
    case = make_case(mower, "vibration/deck")
    model = changed(mower, "blade-bent", "heights-wrong", ban_from=0.01, safety_floor=0.15)
    (ban,) = bans(model, case)
    assert isinstance(ban, Danger) and ban.causes == ("blade-bent",)


def test_a_fault_found_forbids_until_it_is_put_right(mower: RuleBase, make_case: MakeCase) -> None:
    model = changed(mower, "blade-bent")
    case = make_case(mower, "vibration/deck").with_event(WOBBLES)
    (ban,) = bans(model, case)
    assert isinstance(ban, FoundFault)
    assert (ban.cause, ban.shown_by.state, ban.put_right) == ("blade-bent", "yes", False)
    assert ban.chance >= 0.95
    mended = case.with_event(Corrected("new-blade"))
    assert bans(model, mended) == ()
    (fault,) = found_faults(model, model.believe(mended))
    assert fault.put_right
    assert bans(changed(mower), case) == ()


def test_of_several_looks_at_a_fault_the_latest_shows_it(
    mower: RuleBase, make_case: MakeCase
) -> None:
    model = changed(mower, "blade-bent")
    again = make_case(mower, "vibration/deck").with_event(WOBBLES)
    again = again.with_event(Corrected("set-heights")).with_event(WOBBLES)
    (fault,) = found_faults(model, model.believe(again))
    assert fault.shown_by.corrected == ("set-heights",)


def test_a_rule_that_looks_at_the_same_forbids_in_its_place(
    mower: RuleBase, make_case: MakeCase
) -> None:
    model = changed(mower, "blade-bent")
    ruled = Model(replace(model.rules, rules=mower.rules))
    case = make_case(mower, "vibration/deck").with_event(WOBBLES)
    assert bans(ruled, case) == (Raised("The blade is loose.", "blade-loose"),)


SEEN = Node("seen", "observation", "Seen", ("no", "yes"), ("No", "Yes"), (0.9, 0.1), ())


@pytest.mark.parametrize(
    ("shown", "anyway", "expected"),
    [(0.5, 0.1, True), (0.4, 0.08, True), (0.39, 0.01, False), (0.6, 0.121, False)],
)
def test_a_check_shows_a_cause_often_and_much_oftener_than_without_it(
    shown: float, anyway: float, expected: bool
) -> None:
    node = replace(SEEN, background=(1 - anyway, anyway))
    link = Link("cause", "seen", (1 - shown, shown), {}, ())
    assert is_check(node, link) is expected
    assert not is_check(replace(node, kind="complaint"), link)
    # that it is seen to be in order confirms nothing
    assert not is_check(replace(SEEN, background=(0.1, 0.9)), replace(link, chances=(0.99, 0.01)))


def test_what_settles_a_cause_is_a_check_of_it(mower: RuleBase) -> None:
    without, settling = checks_by_cause(mower), checks_by_cause(changed(mower).rules)
    assert "hit-a-stone" not in settling["heights-wrong"]
    seen = dict(mower.observations)
    seen["hit-a-stone"] = seen["hit-a-stone"].model_copy(
        update={"settles": {"heights-wrong": ("yes",)}}
    )
    told = checks_by_cause(replace(mower, observations=seen))
    assert told["heights-wrong"] == without["heights-wrong"] | {"hit-a-stone"}


def test_what_each_event_moved_furthest_first(mower: RuleBase, make_case: MakeCase) -> None:
    """Notes, work and what nobody knew are left out."""
    model = Model(mower)
    case = make_case(mower, "vibration/deck", hit_a_stone="yes", blade_wobble="?")
    case = case.with_event(Corrected("set-heights"))
    moves = moves_by_event(model, case)
    assert [event for event, _ in moves] == list(case.events[:2])
    before, after = (model.believe(Case(events=case.events[:n])) for n in (1, 2))
    index = model.network.cause_index
    _, moved = moves[1]
    assert moved == tuple(
        Shift(cause, float(before.marginal[index[cause]]), float(after.marginal[index[cause]]))
        for cause in ("blade-bent", "heights-wrong")
    )
    assert moved[0].by > 0 > moved[1].by
    assert abs(moved[0].by) > abs(moved[1].by)
