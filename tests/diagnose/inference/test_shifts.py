"""What one more fact moved, furthest first."""

from __future__ import annotations

from diagnose.case.events import Answered, Case, Complained
from diagnose.inference.posterior import Model, Ranking
from diagnose.inference.shifts import Shift, shifts
from rules.rulebase import RuleBase


def ranking(model: Model, case: Case) -> Ranking:
    return model.rank(model.believe(case))


def test_every_cause_of_either_ranking_moves_from_one_to_the_other(mower: RuleBase) -> None:
    model = Model(mower)
    case = Case(events=(Complained("no-start"),))
    before = ranking(model, case)
    after = ranking(model, case.with_event(Answered("tank-look", "stale")))
    found = shifts(before, after)
    assert {one.cause for one in found} == {item.cause for item in before.causes}
    for one in found:
        assert one.before == before.find(one.cause).probability
        assert one.after == after.find(one.cause).probability
        assert one.by == one.after - one.before
    assert (found[0].cause, found[0].by > 0) == ("stale-fuel", True)
    assert [abs(one.by) for one in found] == sorted((abs(one.by) for one in found), reverse=True)


def test_a_cause_that_one_of_them_rules_out_counts_as_none_there(mower: RuleBase) -> None:
    model, events = Model(mower), (Complained("no-start"),)
    petrol = ranking(model, Case({"engine": "petrol"}, {}, events))
    electric = ranking(model, Case({"engine": "electric"}, {}, events))
    found = {one.cause: one for one in shifts(petrol, electric)}
    flat, worn = found["battery-flat"], found["plug-worn"]
    assert (flat.before, flat.after) == (0.0, electric.find("battery-flat").probability)
    assert (worn.before, worn.after) == (petrol.find("plug-worn").probability, 0.0)


def test_those_that_moved_alike_go_by_their_names(mower: RuleBase) -> None:
    same = ranking(Model(mower), Case(events=(Complained("no-start"),)))
    found = shifts(same, same)
    assert [one.cause for one in found] == sorted(item.cause for item in same.causes)
    assert all(one == Shift(one.cause, one.before, one.before) for one in found)
