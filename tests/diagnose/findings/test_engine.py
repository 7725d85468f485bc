"""The door to durable-rules: its traps are ordinary results or errors at load."""

from __future__ import annotations

import dataclasses
import gc

import psutil
import pytest
from durable.engine import Host

from diagnose.advice.assessor import Assessor
from diagnose.findings.engine import (
    MAX_FACTS,
    MAX_JOIN,
    MAX_RULES,
    MAX_SAME_CONDITION,
    EngineError,
    FactOutcome,
    Fired,
    RuleSet,
)
from diagnose.records.learning.learned import learn
from diagnose.records.learning.lessons import ProvenLesson
from rules.rulebase import RuleBase


def simple() -> RuleSet:
    return RuleSet(
        {
            "lamp": [("only", {"$and": [{"kind": "state"}, {"of": "lamp"}]})],
            "pair": [
                ("low", {"kind": "low"}),
                ("high", {"$and": [{"kind": "high"}, {"$gt": {"value": {"low": "value"}}}]}),
            ],
            "absent": [("gate", {"kind": "gate"}), ("no$not", {"kind": "blocker"})],
        }
    )


def test_a_fact_no_rule_looks_at_is_an_ordinary_result() -> None:
    with simple().session() as session:
        assert session.tell({"kind": "state", "of": "door"}) is FactOutcome.NOT_MATCHED
        assert session.take_fired() == []


def test_a_matching_fact_fires_with_the_fact_told() -> None:
    with simple().session() as session:
        fact = {"kind": "state", "of": "lamp"}
        assert session.tell(fact) is FactOutcome.TAKEN
        assert session.take_fired() == [Fired("lamp", (fact,))]
        assert session.take_fired() == []


def test_two_facts_are_joined_by_their_values() -> None:
    with simple().session() as session:
        session.tell({"kind": "low", "value": 3.0})
        session.tell({"kind": "high", "value": 2.0})
        assert session.take_fired() == []
        session.tell({"kind": "high", "value": 4.0})
        assert [fired.rule for fired in session.take_fired()] == ["pair"]


def test_absence_blocks() -> None:
    with simple().session() as session:
        session.tell({"kind": "blocker"})
        session.tell({"kind": "gate"})
        assert session.take_fired() == []


def test_the_same_content_told_twice_fires_twice_and_raises_nothing() -> None:
    with simple().session() as session:
        for _ in range(2):
            session.tell({"kind": "state", "of": "lamp"})
        assert len(session.take_fired()) == 2


def test_sessions_share_nothing() -> None:
    rules = simple()
    with rules.session() as one, rules.session() as other:
        one.tell({"kind": "low", "value": 1.0})
        other.tell({"kind": "high", "value": 2.0})
        assert one.take_fired() == other.take_fired() == []


def test_closing_twice_or_unused_does_nothing() -> None:
    session = simple().session()
    session.close()
    session.close()


def test_a_closed_session_has_forgotten_its_case() -> None:
    with simple().session() as session:
        session.tell({"kind": "state", "of": "door", "state": "open"})
    with pytest.raises(KeyError):
        session.take_fired()


def test_a_session_in_which_nothing_fired_can_be_dropped() -> None:
    """Dropping one crashed the process before sessions were opened by a rule of their own."""
    rules = simple()
    for _ in range(200):
        with rules.session() as session:
            session.tell({"kind": "state", "of": "door"})


def test_too_many_facts_are_refused() -> None:
    with simple().session() as session:
        for number in range(MAX_FACTS):
            session.tell({"kind": "none", "of": str(number)})
        with pytest.raises(EngineError, match="facts in one case"):
            session.tell({"kind": "none"})


def test_rules_beyond_the_limits_are_refused_before_they_hang_or_crash() -> None:
    long = {"r": [(f"x{n}", {"of": str(n)}) for n in range(MAX_JOIN + 1)]}
    with pytest.raises(EngineError, match="joins 7 facts"):
        RuleSet(long)
    with pytest.raises(EngineError, match="at least one"):
        RuleSet({})


def test_a_bad_expression_is_refused() -> None:
    with pytest.raises(EngineError, match="refused"):
        RuleSet({"r": [("x", {"$nonsense": {"of": 1}})]})


def test_the_largest_allowed_set_works() -> None:
    rules = RuleSet({f"r{n}": [("x", {"of": str(n)})] for n in range(MAX_RULES)})
    with rules.session() as session:
        session.tell({"of": "7"})
        assert [fired.rule for fired in session.take_fired()] == ["r7"]


def test_more_rules_than_one_ruleset_holds_are_split_and_all_fire() -> None:
    count = 2 * MAX_RULES + 1
    rules = RuleSet({f"r{n}": [("x", {"of": str(n)})] for n in range(count)})
    assert len(rules.parts) == 3
    with rules.session() as session:
        for n in (7, MAX_RULES, count - 1):
            assert session.tell({"of": str(n)}) is FactOutcome.TAKEN
        assert session.tell({"of": "nowhere"}) is FactOutcome.NOT_MATCHED
        assert [fired.rule for fired in session.take_fired()] == [
            "r7",
            f"r{MAX_RULES}",
            f"r{count - 1}",
        ]


def test_many_rules_on_one_condition_are_split_and_all_fire() -> None:
    count = 2 * MAX_SAME_CONDITION + 1
    rules = RuleSet(
        {f"r{n}": [("x", {"of": "same"}), ("y", {"of": f"other {n % 3}"})] for n in range(count)}
    )
    assert len(rules.parts) == 3
    with rules.session() as session:
        session.tell({"of": "same"})
        session.tell({"of": "other 1"})
        assert {fired.rule for fired in session.take_fired()} == {
            f"r{n}" for n in range(count) if n % 3 == 1
        }


@pytest.fixture
def registered(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The names under which durable-rules has been given rule sets since the test began."""
    names: list[str] = []
    register = Host.set_rulesets

    def noting(host: Host, definitions: dict[str, object]) -> None:
        register(host, definitions)
        names.extend(definitions)

    monkeypatch.setattr(Host, "set_rulesets", noting)
    return names


def test_equal_content_is_registered_once_and_shared(registered: list[str]) -> None:
    def made(name: str, of: str) -> RuleSet:
        return RuleSet({name: [("x", {"$and": [{"kind": "shared"}, {"of": of}]})]})

    first, second = made("rule", "a"), made("rule", "a")
    assert len(registered) == 1
    assert first.parts == second.parts
    with first.session() as one, second.session() as other:
        one.tell({"kind": "shared", "of": "a"})
        assert [fired.rule for fired in one.take_fired()] == ["rule"]
        assert other.take_fired() == []
    assert made("rule", "b").parts != first.parts
    assert made("other name", "a").parts != first.parts
    assert len(registered) == 3


def test_rules_that_were_refused_are_refused_again() -> None:
    for _ in range(2):
        with pytest.raises(EngineError, match="refused"):
            RuleSet({"r": [("x", {"$nonsense": {"of": 2}})]})


def test_a_second_workshop_and_one_that_has_learned_register_nothing(
    mower: RuleBase, registered: list[str]
) -> None:
    # rules that no other test has had registered
    rules = {f"{key}-anew": rule for key, rule in mower.rules.items()}
    anew = dataclasses.replace(mower, rules=rules)
    Assessor(anew)
    assert len(registered) == 1
    Assessor(dataclasses.replace(anew))
    petrol = {"engine": "petrol", "size": "small"}
    lesson = ProvenLesson(1, "no-fuel", petrol, {"tank-look": "empty"}, {})
    learned = learn(anew, [lesson])
    assert learned.rules.causes != anew.causes
    Assessor(learned.rules)
    assert len(registered) == 1


@pytest.mark.parametrize("value", [1e-9, -2e-7, 1e-05, 0.5, 1e8, 1e9])
def test_small_and_large_numbers_are_compared(value: float) -> None:
    rules = RuleSet(
        {
            "more": [("x", {"$and": [{"kind": "number"}, {"$gt": {"value": value - 1e-10}}]})],
            "less": [("x", {"$and": [{"kind": "number"}, {"$lt": {"value": value}}]})],
            "same": [
                ("y", {"kind": "limit"}),
                (
                    "x",
                    {
                        "$and": [
                            {"kind": "number"},
                            {"$gte": {"value": {"y": "value"}}},
                            {"$lte": {"value": {"y": "value"}}},
                        ]
                    },
                ),
            ],
        }
    )
    with rules.session() as session:
        session.tell({"kind": "limit", "value": value})
        session.tell({"kind": "number", "value": value})
        fired = {fired.rule: fired.facts for fired in session.take_fired()}
    assert fired.keys() == ({"more", "same"} if value < 1e5 else {"same"})
    assert fired["same"][1] == {"kind": "number", "value": value}


def test_memory_stays_flat_over_many_cases() -> None:
    rules = RuleSet({f"r{n}": [("x", {"of": str(n)})] for n in range(200)})
    process = psutil.Process()

    def run(cases: int) -> None:
        for number in range(cases):
            with rules.session() as session:
                for fact in range(20):
                    session.tell({"of": str((number + fact) % 220)})
                session.take_fired()

    run(100)
    gc.collect()
    before = process.memory_info().rss
    run(500)
    gc.collect()
    assert process.memory_info().rss - before < 5 * 2**20
