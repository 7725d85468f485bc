"""A case file of any content is read and judged within limits."""

from __future__ import annotations

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered
from diagnose.case.files import MOST_COMPLAINTS, MOST_ROWS, case_from_bytes
from diagnose.inference.evidence import gather
from rules.problems import MOST_TOLD, FileProblems
from rules.rulebase import RuleBase

HEAD = "case: 1\ncomplaints: [harsh/front]\n"
ROW = "  - {correction: set-rear-tyre-pressure, ride: same}\n"


def test_as_many_corrections_as_are_allowed_are_judged(offroad_assessor: Assessor) -> None:
    """Each was once judged anew with all before it."""
    rules = offroad_assessor.rules
    case = case_from_bytes(rules, f"{HEAD}afterwards:\n{ROW * MOST_ROWS}".encode(), "f")
    assert offroad_assessor.assess(case).step.kind
    with pytest.raises(FileProblems, match=f"at most {MOST_ROWS}"):
        case_from_bytes(rules, f"{HEAD}afterwards:\n{ROW * (MOST_ROWS + 1)}".encode(), "f")


def test_a_rider_has_room_for_every_complaint_but_not_for_a_megabyte_of_them(
    offroad: RuleBase,
) -> None:
    rules = offroad
    keys = [
        f"{name}/{place}" if place else name
        for name, entry in rules.complaints.items()
        for place in (entry.places or [None])
    ]
    assert len(keys) < MOST_COMPLAINTS
    many = (keys * MOST_COMPLAINTS)[: MOST_COMPLAINTS + 1]
    with pytest.raises(FileProblems, match=f"at most {MOST_COMPLAINTS}"):
        case_from_bytes(rules, f"case: 1\ncomplaints: [{', '.join(many)}]\n".encode(), "f")
    case = case_from_bytes(rules, f"case: 1\ncomplaints: [{', '.join(many[1:])}]\n".encode(), "f")
    assert len(case.events) == MOST_COMPLAINTS


def test_rows_in_which_nothing_was_found_change_no_evidence(offroad_assessor: Assessor) -> None:
    rules = offroad_assessor.rules
    found = "answers: {rear-tyre-gauge: 25 psi}\n"
    later = "  - {correction: set-rear-tyre-pressure, ride: same, answers: {front-tyre-gauge: 25 psi}}\n"
    case = case_from_bytes(rules, f"{HEAD}{found}afterwards:\n{ROW}{ROW}{later}{ROW}".encode(), "f")
    _, evidence = gather(offroad_assessor.model.findings, rules, case)
    told = {(e.key, len(e.corrected)) for e in evidence if e.kind == "node"}
    answers = [event.observation for event in case.events if isinstance(event, Answered)]
    assert answers == ["rear-tyre-gauge", "front-tyre-gauge"]
    assert ("rear-tyre-gauge", 0) in told
    assert ("front-tyre-gauge", 3) in told
    assert [e.ride.corrected for e in evidence if e.ride] == [
        ("set-rear-tyre-pressure",) * n for n in range(1, 5)
    ]


@pytest.mark.parametrize(
    "text",
    ["".join(f"key-{n}: 1\n" for n in range(9000)),
     "answers:\n" + "".join(f"  key-{n}: 1\n" for n in range(9000)),
     "afterwards:\n" + "".join(f"  - {{correction: c-{n}, x: 1}}\n" for n in range(9000))],
    ids=["keys", "answers", "rows"],
)  # fmt: skip
def test_no_more_problems_are_told_than_anybody_reads(offroad: RuleBase, text: str) -> None:
    with pytest.raises(FileProblems) as told:
        case_from_bytes(offroad, (HEAD + text).encode(), "f")
    lines = str(told.value).splitlines()
    assert len(lines) == MOST_TOLD + 1
    assert lines[-1].startswith("and ")


def test_a_file_that_is_none_of_ours_is_not_repeated_in_messages(offroad: RuleBase) -> None:
    shadow = "daemon:*:19000:0:99999:7:::\nroot:$6$invented$hash:19000:0:99999:7:::\n"
    for raw in (
        shadow,
        f"{HEAD}{shadow}",
        "password = hunter2\n",
        "-----BEGIN KEY-----\nMIIinvented=\n",
    ):
        with pytest.raises(FileProblems) as told:
            case_from_bytes(offroad, raw.encode(), "f")
        for word in ("19000", "invented", "hunter2"):
            assert word not in str(told.value)
