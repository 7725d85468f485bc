"""Case files as anybody might write them: a case that can be judged, or problems with places."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Case
from diagnose.case.files import case_from_bytes
from diagnose.words.assessment_document import document
from rules.problems import FileProblems
from rules.rulebase import RuleBase

NONSENSE: st.SearchStrategy[Any] = st.one_of(
    st.sampled_from([
        None, True, False, 0, -1, 1e308, -0.0, 10**17, "", " ", "?", "dont-know", "cannot-here", "nan", "inf",
        "1e400", "1,000 psi", "9" * 60, "٣ psi", "\u200f13 psi", "13 furlongs", "-13 psi", "0 mm", "yes", "no",
        "\u0000", "\u001b[31m", "\u202e", "\U0001f3cd", "a" * 30_000, "null", "~", [], {}, [[]], {"a": 1},
    ]),
    st.text(max_size=12),
    st.floats(allow_nan=False, allow_infinity=False),
)  # fmt: skip
KEYS = st.one_of(
    st.text(max_size=10), st.sampled_from(["", "a" * 300, "\u001b", "case", "no-such"])
)


def mapping(likely: dict[str, st.SearchStrategy[Any]]) -> st.SearchStrategy[dict[str, Any]]:
    sound = st.fixed_dictionaries({}, optional=likely)
    keys = st.one_of(KEYS, st.sampled_from(sorted(likely)))
    odd = st.dictionaries(keys, NONSENSE, max_size=3)
    return st.integers(0, 9).flatmap(lambda draw: sound if draw else odd)


def mostly(likely: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.integers(0, 29).flatmap(lambda draw: likely if draw else NONSENSE)


def answer(rules: RuleBase, name: str) -> st.SearchStrategy[Any]:
    entry = rules.observations[name]
    if entry.states:
        return mostly(st.sampled_from([*entry.states, "dont-know", "cannot-here"]))
    assert entry.limits is not None
    ends = st.sampled_from([*entry.limits, "dont-know", f"0 {entry.unit}", f"1e-9 {entry.unit}"])
    return mostly(st.one_of(ends, st.floats(-1e4, 1e4).map(lambda x: f"{x:.3f} {entry.unit}")))


def files(rules: RuleBase) -> st.SearchStrategy[dict[str, Any]]:
    traits = {
        key: mostly(st.sampled_from(sorted(entry.options))) for key, entry in rules.traits.items()
    }
    targets = {
        key: mostly(
            st.sampled_from([str(entry.default), f"0 {entry.unit}", f"0.{'0' * 30}1 {entry.unit}"])
        )
        for key, entry in rules.specs.items()
    }
    answers = mapping({name: answer(rules, name) for name in rules.observations})
    places = [f"{key}/{place}" for key, entry in rules.complaints.items() for place in entry.places]
    complaints = mostly(
        st.lists(st.sampled_from([*rules.complaints, *places]), min_size=1, max_size=4)
    )
    later = st.fixed_dictionaries(
        {"correction": mostly(st.sampled_from(sorted(rules.corrections)))},
        optional={
            "ride": mostly(st.sampled_from(["gone", "better", "same", "worse"])),
            "answers": answers,
        },
    )
    return st.fixed_dictionaries(
        {"case": mostly(st.just(1)), "complaints": complaints},
        optional={
            "machine": mapping(traits),
            "targets": mapping(targets),
            "answers": answers,
            "afterwards": mostly(st.lists(later, max_size=3)),
            "note": mostly(st.text(max_size=20)),
            "title": mostly(st.text(max_size=20)),
        },
    )


def read(rules: RuleBase, data: dict[str, Any]) -> Case | None:
    """The case, or None where it was refused as it should be."""
    raw = json.dumps(data, allow_nan=False).encode()
    try:
        return case_from_bytes(rules, raw, "f")
    except FileProblems as error:
        assert all(problem.line >= 1 and problem.message for problem in error.problems)
        assert not set(str(error)) & set("\u0000\u001b\u202e")
        return None


def judged(shop: Assessor, data: dict[str, Any]) -> None:
    """It is refused, or gives a ranking whose chances are chances, in words and as a document."""
    case = read(shop.rules, data)
    if case is None:
        return
    assessment = shop.assess(case)
    told = document(shop.rules, case, assessment)
    assert all(0 <= cause.probability <= 1 for cause in told.causes)
    assert not any(math.isnan(cause.probability) for cause in told.causes)
    assert "NaN" not in told.model_dump_json()


QUIET = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]


@settings(deadline=None, max_examples=80, suppress_health_check=QUIET)
@given(st.data())
def test_a_file_about_a_mower_is_judged_or_refused(
    mower_assessor: Assessor, data: st.DataObject
) -> None:
    judged(mower_assessor, data.draw(files(mower_assessor.rules)))


@pytest.mark.long
@settings(deadline=None, max_examples=1200, suppress_health_check=QUIET)
@given(st.data())
def test_many_files_about_a_mower_are_judged_or_refused(
    mower_assessor: Assessor, data: st.DataObject
) -> None:
    judged(mower_assessor, data.draw(files(mower_assessor.rules)))


@pytest.mark.long
@settings(deadline=None, max_examples=250, suppress_health_check=QUIET)
@given(st.data())
def test_many_files_about_a_motorcycle_are_judged_or_refused(
    offroad_assessor: Assessor, data: st.DataObject
) -> None:
    judged(offroad_assessor, data.draw(files(offroad_assessor.rules)))


@pytest.mark.parametrize("figure", ["-13 psi", "9" * 50 + " psi", "81 psi"])
def test_a_target_that_cannot_be_measured_is_refused(offroad: RuleBase, figure: str) -> None:
    """Not handed on to the engine, which chokes on some."""
    raw = f"case: 1\ncomplaints: [harsh]\ntargets: {{front-tyre-pressure: '{figure}'}}\n"
    with pytest.raises(
        FileProblems, match=r"f:3:11: .* cannot be right; it lies between 0 psi and"
    ):
        case_from_bytes(offroad, raw.encode(), "f")


@pytest.mark.parametrize(
    "text", ['note: "a\\e[31mb"', '"x\\e": 1', 'note: "\\u202eabc"', 'note: "\\x9b31m"']
)
def test_what_would_steer_a_terminal_is_refused(mower: RuleBase, text: str) -> None:
    with pytest.raises(FileProblems, match=r"f:3:\d+: error\[control\]: .* control character U\+"):
        case_from_bytes(mower, f"case: 1\ncomplaints: [no-start]\n{text}\n".encode(), "f")
