"""Looking a figure up in the manual: a step of its own where a reading cannot be judged without."""

from __future__ import annotations

from diagnose.advice.assessor import Assessor
from diagnose.advice.check_in import check_in
from diagnose.advice.planning import Step
from diagnose.case.events import Answered, Case, Complained, read_answer
from diagnose.case.figures import figure_of
from diagnose.case.files import case_from_bytes
from diagnose.case.writing import case_yaml
from diagnose.simulation.simulated_bike import GivenFacts, SimulatedBike, Truth
from diagnose.words.step_words import step_label
from rules.units.quantities import Quantity

CLANGING = Case({"class": "full-size"}, {}, (Complained("noise", "rear"),))
LOOK_UP = "manual-chain-slack"


def offered(shop: Assessor, case: Case) -> dict[str, float]:
    return {option.observation: option.saves for option in shop.assess(case).options}


def tight(shop: Assessor) -> Case:
    return CLANGING.with_event(read_answer(shop.rules, "chain-slack", "28 mm"))


def test_it_comes_before_a_reading_that_says_nothing_without_it(
    offroad_assessor: Assessor,
) -> None:
    """Who has no manual is not sent to measure what nothing can judge."""
    first = offered(offroad_assessor, CLANGING)
    assert LOOK_UP in first and "chain-slack" not in first
    looked_up = CLANGING.with_event(read_answer(offroad_assessor.rules, LOOK_UP, "55 mm"))
    assert "chain-slack" in offered(offroad_assessor, looked_up)
    nobody_knows = offered(offroad_assessor, CLANGING.with_event(Answered(LOOK_UP)))
    assert LOOK_UP not in nobody_knows and "chain-slack" not in nobody_knows
    given = Case(CLANGING.machine, {"chain-slack": Quantity(55, "mm")}, CLANGING.events)
    assert "chain-slack" in offered(offroad_assessor, given)


def test_it_is_offered_with_a_worth_for_a_reading_made_without_it(
    offroad_assessor: Assessor,
) -> None:
    worth = offered(offroad_assessor, tight(offroad_assessor))
    assert worth[LOOK_UP] > 0
    known = Case(
        CLANGING.machine, {"chain-slack": Quantity(55, "mm")}, tight(offroad_assessor).events
    )
    assert LOOK_UP not in offered(offroad_assessor, known)
    nobody_knows = tight(offroad_assessor).with_event(Answered(LOOK_UP))
    assert LOOK_UP not in offered(offroad_assessor, nobody_knows)


def test_the_reading_is_priced_with_the_look_into_the_manual(offroad_assessor: Assessor) -> None:
    rules = offroad_assessor.rules

    def minutes(case: Case) -> float:
        options = offroad_assessor.assess(case).options
        return next(o.minutes for o in options if o.node == "chain-slack")

    given = Case(CLANGING.machine, {"chain-slack": Quantity(55, "mm")}, CLANGING.events)
    extra = rules.observations[LOOK_UP].minutes + rules.policy.attention_minutes
    assert minutes(CLANGING) == minutes(given) + extra


def test_the_page_before_the_first_step_asks_for_no_reading_that_nothing_judges(
    offroad_assessor: Assessor,
) -> None:
    readings = check_in(offroad_assessor, CLANGING).readings
    assert not {"chain-slack", LOOK_UP} & set(readings)


def test_the_figure_looked_up_judges_the_reading(offroad_assessor: Assessor) -> None:
    rules = offroad_assessor.rules
    found = tight(offroad_assessor).with_event(read_answer(rules, LOOK_UP, "55 mm"))
    figure = figure_of(rules, found, "chain-slack")
    assert (str(figure.value), figure.rank) == ("55 mm", "manual")
    assert [f.cause for f in offroad_assessor.assess(found).faults] == ["chain-too-tight"]
    fits = tight(offroad_assessor).with_event(read_answer(rules, LOOK_UP, "30 mm"))
    assert not offroad_assessor.assess(fits).faults


def test_it_is_kept_with_the_case(offroad_assessor: Assessor) -> None:
    rules = offroad_assessor.rules
    case = tight(offroad_assessor).with_event(read_answer(rules, LOOK_UP, "55 mm"))
    again = case_from_bytes(rules, case_yaml(case)[0].encode(), "kept.yaml")
    assert figure_of(rules, again, "chain-slack") == figure_of(rules, case, "chain-slack")


def test_every_figure_that_a_rule_of_thumb_may_not_judge_by_can_be_looked_up(
    offroad_assessor: Assessor,
) -> None:
    rules = offroad_assessor.rules
    for spec in rules.specs:
        assert rules.observations[f"manual-{spec}"].enters == spec


def test_it_says_that_it_is_looked_up(offroad_assessor: Assessor) -> None:
    step = Step("measure", LOOK_UP, None, 4)
    assert step_label(offroad_assessor.rules, step).startswith("Look up")


def test_a_simulated_bike_has_its_figure_in_its_manual(offroad_assessor: Assessor) -> None:
    rules = offroad_assessor.rules
    traits = {trait: entry.default for trait, entry in rules.traits.items()}
    truth = Truth(("chain-too-tight",), Complained("noise", "rear"), traits)
    given = GivenFacts(targets={"chain-slack": Quantity(44, "mm")})
    for known, figure in ((GivenFacts(), 50), (given, 44)):
        answer = SimulatedBike(rules, truth, 1, known).answer(LOOK_UP)
        assert answer.reading == Quantity(figure, "mm")
