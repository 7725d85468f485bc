"""Printed troubleshooting lists: what they name, the pack raises and can check.

Sources stand in `trouble_tables.yaml` beside each list. Lists written from memory are marked and
counted separately. Many lists name the same cause for several symptoms; each is a row of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import yaml

from diagnose.case import Case, Event, machine_traits, read_answer, read_complaint
from diagnose.checks import checks_by_cause
from diagnose.findings import Findings
from diagnose.interview import Workshop
from diagnose.ranking import Ranking
from rules.rulebase import RuleBase, complaint_nodes
from rules.schema import Cause

TABLES: dict[str, dict[str, Any]] = yaml.safe_load(
    (Path(__file__).parent / "trouble_tables.yaml").read_text(encoding="utf-8")
)["tables"]
SEEN = {"in the original", "as quoted elsewhere", "memory"}
# A cause that the symptom alone makes half as probable again is raised by it.
RAISED = 1.5
LEAST_INDEPENDENT = 3


@dataclass(frozen=True)
class Row:
    """One listed cause of one printed symptom."""

    table: str
    number: int
    body: Mapping[str, Any]

    @property
    def name(self) -> str:
        """For the test's id."""
        return f"{self.table}-{self.number}"

    @property
    def tellings(self) -> list[tuple[dict[str, str], list[str]]]:
        """Ways the symptom can be told: (answers, complaints), one complaint at a time."""
        if "found" in self.body:
            return [(self.body["found"], [])]
        return [({}, [complaint]) for complaint in self.body["complaints"]]


ROWS = [
    Row(table, number, body)
    for table, entry in TABLES.items()
    for number, body in enumerate(entry["rows"], 1)
]
COVERED = [row for row in ROWS if "causes" in row.body]
PUBLISHED = [name for name, entry in TABLES.items() if entry["seen"] != "memory"]


def machine_for(cause: Cause) -> dict[str, str]:
    """A machine that can have the cause."""
    return {trait: options[0] for trait, options in cause.needs.items()}


def told(
    rules: RuleBase, machine: dict[str, str], answers: Mapping[str, str], complaints: list[str]
) -> Case:
    """A case with one thing told."""
    events: list[Event] = [read_complaint(rules, text) for text in complaints]
    events += [read_answer(rules, name, text) for name, text in answers.items()]
    return Case(machine, {}, tuple(events))


def assess(shop: Workshop, row: Row, cause: str) -> list[tuple[Ranking, Findings]]:
    """What is made of the row's symptom on a machine that can have `cause`."""
    machine = machine_for(shop.rules.causes[cause])
    made = []
    for answers, complaints in row.tellings:
        assessment = shop.assess(told(shop.rules, machine, answers, complaints))
        made.append((assessment.ranking, assessment.belief.findings))
    return made


def is_raised(ranking: Ranking, cause: str) -> bool:
    entry = ranking.find(cause)
    return entry.probability >= RAISED * entry.prior


def can_be_checked(rules: RuleBase, cause: str) -> bool:
    """Whether something other than a question can confirm it."""
    kinds = {"history", "question"}
    return any(
        node in rules.findings or rules.observations[node].kind not in kinds
        for node in checks_by_cause(rules)[cause]
    )


@pytest.fixture(scope="module")
def shown(offroad_shop: Workshop) -> dict[str, bool]:
    """Row name -> whether the symptom raises a cause of the row that can be checked."""
    result = {}
    for row in COVERED:
        result[row.name] = any(
            is_raised(ranking, cause) and can_be_checked(offroad_shop.rules, cause)
            for cause in row.body["causes"]
            for ranking, _ in assess(offroad_shop, row, cause)
        )
    return result


@pytest.mark.parametrize("row", COVERED, ids=lambda row: row.name)
def test_the_symptom_raises_the_listed_cause(row: Row, shown: dict[str, bool]) -> None:
    """Told nothing but the symptom, and there is a check for the cause."""
    assert shown[row.name], f"{row.body['symptom']}: {row.body['listed']}"


@pytest.mark.parametrize("row", COVERED, ids=lambda row: row.name)
def test_the_causes_and_complaints_of_a_row_fit_each_other(row: Row, offroad: RuleBase) -> None:
    """Every complaint named is one of the pack's, and every cause shows on one of them at least."""
    nodes = {n for key, c in offroad.complaints.items() for n in complaint_nodes(key, c)}
    wanted = row.body.get("complaints") or list(row.body["found"])
    assert all(w in nodes or w in offroad.observations for w in wanted)
    for cause in row.body["causes"]:
        targets = {link.node for link in offroad.links if link.cause == cause}
        assert targets & set(wanted), cause


def test_rows_left_out_say_why() -> None:
    for row in ROWS:
        assert ("causes" in row.body) != bool(row.body.get("left_out")), row.name
        assert row.body["symptom"]
        assert row.body["listed"]


def test_every_table_says_where_it_is_from() -> None:
    for name, entry in TABLES.items():
        assert entry["seen"] in SEEN, name
        assert entry["title"], name
        assert entry["seen"] == "memory" or entry["author"], name


def test_coverage_is_printed_and_enough(
    shown: dict[str, bool], capsys: pytest.CaptureFixture[str]
) -> None:
    """At least three independent printed lists in full, and memory apart from them."""
    full = set()
    with capsys.disabled():
        print("\nprinted troubleshooting lists, rows raised and checkable / rows (left out):")
        for name, entry in TABLES.items():
            rows = [row for row in COVERED if row.table == name]
            hits = sum(shown[row.name] for row in rows)
            out = len(entry["rows"]) - len(rows)
            print(f"  {name} ({entry['seen']}): {hits}/{len(entry['rows'])} ({out} left out)")
            if hits == len(rows) and name in PUBLISHED:
                full.add(entry["author"])
        for label, wanted in (("published", True), ("memory", False)):
            rows = [row for row in ROWS if (row.table in PUBLISHED) == wanted]
            hits = sum(shown.get(row.name, False) for row in rows)
            print(f"  all {label}: {hits}/{len(rows)}")
    assert len(full) >= LEAST_INDEPENDENT


@pytest.mark.parametrize(
    "row",
    [row for row in COVERED if TABLES[row.table].get("forbids_riding")],
    ids=lambda row: row.name,
)
def test_what_an_inspection_rejects_is_not_ridden(row: Row, offroad_shop: Workshop) -> None:
    """State of Maryland, 11.14.03.02: reject vehicle if."""
    for _, findings in assess(offroad_shop, row, row.body["causes"][0]):
        assert findings.do_not_ride


def test_a_symptom_does_not_raise_what_has_nothing_to_do_with_it(offroad_shop: Workshop) -> None:
    """The measure can say no."""
    case = told(offroad_shop.rules, {}, {}, ["seal-weep/rear"])
    ranking = offroad_shop.assess(case).ranking
    assert machine_traits(offroad_shop.rules, case)["rear"] == "linkage"
    assert not is_raised(ranking, "front-rim-bent")
    assert is_raised(ranking, "shock-seal-leaking")
