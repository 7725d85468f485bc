"""Which nodes can confirm or show which causes."""

from __future__ import annotations

from diagnose.inference.confirming import causes_by_check, causes_by_node, checks_by_cause
from rules.rulebase import RuleBase


def test_every_node_has_the_causes_that_show_on_it(mower: RuleBase) -> None:
    shown = causes_by_node(mower)
    assert set(shown) == set(mower.nodes)
    assert {(cause, node) for node, causes in shown.items() for cause in causes} == {
        (link.cause, link.node) for link in mower.links
    }
    assert shown["spark-seen"] == {"plug-worn"}
    assert shown["vibration/handle"] == {"blade-bent"}


def test_checks_by_cause_turned_round_are_causes_by_check(mower: RuleBase) -> None:
    checks = checks_by_cause(mower)
    assert checks["no-fuel"] == {"tank-look"}
    assert checks["plug-worn"] == {"plug-gap-reading", "spark-seen"}
    found = causes_by_check(checks)
    assert {(cause, node) for node, causes in found.items() for cause in causes} == {
        (cause, node) for cause, nodes in checks.items() for node in nodes
    }
    order = list(checks)
    assert all(causes == sorted(causes, key=order.index) for causes in found.values())
    assert found["tank-look"] == ["no-fuel", "stale-fuel"]
