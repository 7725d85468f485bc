"""Computed findings: the budget as evidence, and what the loader refuses."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from pathlib import Path

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Case
from diagnose.findings.computed import COMPUTATIONS, Computation
from diagnose.findings.concluding import FindingsEngine
from diagnose.inference.posterior import Model
from diagnose.words.assessment_document import document
from rules.loading.loader import load_pack
from rules.problems import FileProblems
from rules.rulebase import RuleBase

MakeCase = Callable[..., Case]
TYRE, CLOSED = "front-tyre-pressure-high", "fork-compression-closed"


@pytest.fixture(scope="module")
def without(offroad: RuleBase) -> Model:
    """The pack that ships, its computed findings never computed."""
    plain = {
        key: finding.model_copy(update={"computed": None})
        for key, finding in offroad.findings.items()
    }
    return Model(dataclasses.replace(offroad, findings=plain))


def odds(model: Model, case: Case, cause: str) -> float:
    share = model.rank(model.believe(case)).find(cause).probability
    return share / (1 - share)


def test_the_budget_divides_the_blame_when_two_readings_are_off(
    offroad: RuleBase, offroad_assessor: Assessor, without: Model, make_case: MakeCase
) -> None:
    """Tyre at 16 psi (12.5 wanted), compression four clicks in: which matters more?

    Each has a reading that speaks for it. The budget gives the tyre five parts in six of the extra
    harshness over smooth ground, chop and an edge, so belief moves to the tyre, by a factor and not by a landslide.
    """
    case = make_case(
        offroad,
        "harsh/front",
        manual=True,
        front_tyre_gauge="16 psi",
        fork_compression_clicks="8 clicks",
    )
    belief = offroad_assessor.model.believe(case)
    assert belief.findings.states["front-tyre-or-damping"] == "tyre"
    assert belief.findings.computed["front-tyre-or-damping"].value == pytest.approx(67.7, abs=3.0)
    gained = odds(offroad_assessor.model, case, TYRE) / odds(without, case, TYRE)
    assert 2.0 < gained < 4.0
    # what a reading saw stays as likely as that reading is trusted
    assert odds(offroad_assessor.model, case, CLOSED) <= odds(without, case, CLOSED) * (1 + 1e-9)


def test_where_clamps_make_all_of_it_nothing_is_said_of_tyre_or_damping(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    """Over-tight clamps and oil too high: two readings are off, neither of them tyre or damping."""
    case = make_case(
        offroad, "harsh/front", lower_clamp_torque_found="24 N·m", fork_oil_level_measured="80 mm"
    )
    assert "front-tyre-or-damping" not in offroad_assessor.model.believe(case).findings.computed


def test_one_reading_off_is_not_counted_twice(
    offroad: RuleBase, offroad_assessor: Assessor, without: Model, make_case: MakeCase
) -> None:
    case = make_case(
        offroad, "harsh/front", front_tyre_gauge="26 psi", fork_compression_clicks="12 clicks"
    )
    assert not offroad_assessor.model.believe(case).findings.computed
    assert odds(offroad_assessor.model, case, TYRE) == odds(without, case, TYRE)


def test_where_neither_leads_the_budget_is_no_evidence(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    case = make_case(
        offroad, "harsh/front", manual=True, front_tyre_gauge="16 psi", fork_compression_clicks="2 clicks",
        fork_rebound_clicks="4 clicks",
    )  # fmt: skip
    findings = offroad_assessor.model.believe(case).findings
    assert abs(findings.computed["front-tyre-or-damping"].value) < 33
    assert "front-tyre-or-damping" not in findings.states


def test_the_rear_has_its_own(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    case = make_case(
        offroad, "harsh/rear", manual=True, rear_tyre_gauge="22 psi", shock_high_speed_compression_turns="1.25",
    )  # fmt: skip
    states = offroad_assessor.model.believe(case).findings.states
    assert states["rear-tyre-or-damping"] == "tyre"


def test_no_tyre_gauge_counts_on_a_mousse(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    case = make_case(
        offroad, "harsh/front", machine={"tyre-filling": "mousse"}, front_tyre_gauge="26 psi",
        fork_compression_clicks="8 clicks",
    )  # fmt: skip
    assert not offroad_assessor.model.believe(case).findings.computed


def test_it_is_shown_as_computed_with_its_number(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    case = make_case(
        offroad,
        "harsh/front",
        manual=True,
        front_tyre_gauge="16 psi",
        fork_compression_clicks="8 clicks",
    )
    shown = document(offroad, case, offroad_assessor.assess(case))
    cause = next(item for item in shown.causes if item.id == TYRE)
    fact = next(item for item in cause.evidence_for if item.fact == "front-tyre-or-damping")
    assert "computed" in fact.text
    assert "% the tyre makes most of it" in fact.text.replace(":", "")
    source = offroad.sources["computed-harshness-budget"]
    assert (source.kind, source.module) == ("computed", "diagnose.physics.budget")
    assert str(source).startswith("computed: ")


def test_the_engine_classifies_the_number_by_the_packs_bands(
    mower_with: Callable[[str], Path], make_case: MakeCase, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing here knows motorcycles: a mower's wheels will do."""
    rules = load_pack(mower_with(FINDING))
    lean = Computation(
        {"one": "mm", "other": "mm", "gap": "mm"},
        "mm",
        lambda readings: readings["one"].value.value - readings["other"].value.value,
    )
    monkeypatch.setattr("diagnose.findings.concluding.COMPUTATIONS", {"lean": lean})
    monkeypatch.setattr("diagnose.findings.computed.COMPUTATIONS", {"lean": lean})
    engine = FindingsEngine(rules)
    for gap, one, state in (
        ("1.2 mm", "40 mm", "left"),
        ("1.2 mm", "31 mm", None),
        ("0.6 mm", "40 mm", None),
    ):
        case = make_case(
            rules, "no-start", plug_gap_reading=gap, left_height=one, right_height="30 mm"
        )
        assert engine.conclude(case).states.get("lean") == state


def test_the_number_is_rounded_and_told_in_the_packs_unit(
    mower_with: Callable[[str], Path], make_case: MakeCase, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is computed where as many readings are off as asked for, not where one is not known."""
    lean = Computation({"one": "mm", "other": "mm", "gap": "mm"}, "mm", lambda _: 12.3456)
    monkeypatch.setattr("diagnose.findings.concluding.COMPUTATIONS", {"lean": lean})
    monkeypatch.setattr("diagnose.findings.computed.COMPUTATIONS", {"lean": lean})
    rules = load_pack(mower_with(FINDING.replace("unit: mm", "unit: cm")))
    engine = FindingsEngine(rules)
    off = make_case(rules, "no-start", plug_gap_reading="1.2 mm")
    number = engine.conclude(off).computed["lean"]
    assert number.unit == "cm"
    assert number.value == pytest.approx(1.23, abs=1e-12)
    for gap in ("0.6 mm", "?"):
        case = make_case(rules, "no-start", plug_gap_reading=gap, left_height="40 mm")
        assert engine.conclude(case).computed == {}
    assert engine.sources_of("lean") == ("left-height", "right-height", "plug-gap-reading")


@pytest.mark.parametrize(
    ("units", "unit", "message"),
    [
        ({"one": "mm", "other": "mm", "gap": "mm"}, "psi", "`unit` is 'mm'; lean gives 'psi'"),
        ({"one": "psi", "other": "mm", "gap": "mm"}, "mm", "'one' takes a pressure"),
        ({"ones": "mm", "other": "mm", "gap": "mm"}, "mm", "'one' is not an input of it; did you"),
    ],
)
def test_a_computation_of_another_kind_is_refused(
    mower_with: Callable[[str], Path],
    monkeypatch: pytest.MonkeyPatch,
    units: dict[str, str],
    unit: str,
    message: str,
) -> None:
    lean = Computation(units, unit, lambda _: 1.0)
    monkeypatch.setattr("diagnose.findings.computed.COMPUTATIONS", {"lean": lean})
    with pytest.raises(FileProblems) as caught:
        FindingsEngine(load_pack(mower_with(FINDING)))
    (problem,) = caught.value.problems
    assert message in str(problem) and problem.column == 1


FINDING = """
  lean:
    title: Leans
    states: {no: level, left: to the left}
    background: very unlikely
    computed:
      by: lean
      inputs: {one: left-height, other: right-height, gap: plug-gap-reading}
      off_inputs: 1
      unit: mm
      bands: [{state: left, above: 5 mm}]
    shown_by: {no-fuel: unlikely}
    shown_by_source: made-up
    source: made-up
"""


@pytest.fixture
def mower_with(edited_pack: Callable[..., Path]) -> Callable[[str], Path]:
    """The small pack with one more finding."""

    def edit(finding: str) -> Path:
        return edited_pack("\nfindings:\n", f"\nfindings:{finding}")

    return edit


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("one: left-height", "one: tank-look", "'tank-look' is not a measurement"),
        (
            "no-fuel: unlikely",
            "no-fool: unlikely",
            "'no-fool' is not defined; did you mean 'no-fuel'",
        ),
        ("no-fuel: unlikely", "no-fuel: perhaps", "'perhaps' is not on the scale"),
        ("state: left", "state: right", "not one of the other states"),
        ("above: 5 mm", "above: target + 5 mm", "has no `target`"),
        ("off_inputs: 1", "off_inputs: 9", "more than there are inputs"),
        ("    shown_by_source: made-up\n", "", "go together"),
    ],
)
def test_the_loader_says_what_is_wrong(
    mower_with: Callable[[str], Path], old: str, new: str, message: str
) -> None:
    assert old in FINDING
    with pytest.raises(FileProblems) as caught:
        load_pack(mower_with(FINDING.replace(old, new)))
    assert message in str(caught.value)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("by: lean", "by: front-harshness-tyre-less-dampin", "did you mean 'front-harshness-tyre"),
        ("by: lean", "by: front-harshness-tyre-less-damping", "'one' is not an input of it"),
    ],
)
def test_an_unknown_computation_or_role_is_refused_before_work(
    mower_with: Callable[[str], Path], old: str, new: str, message: str
) -> None:
    with pytest.raises(FileProblems) as caught:
        FindingsEngine(load_pack(mower_with(FINDING.replace(old, new))))
    assert message in str(caught.value)
    assert "findings.lean.computed" in str(caught.value)


def test_every_computation_is_used_by_the_pack_that_ships(offroad: RuleBase) -> None:
    used = {finding.computed.by for finding in offroad.findings.values() if finding.computed}
    assert used == set(COMPUTATIONS)
