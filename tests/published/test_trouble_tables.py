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

from diagnose.advice.workshop import Workshop
from diagnose.authoring.complaint_odds import machine_for
from diagnose.authoring.coverage import CoverDesk
from diagnose.authoring.coverage_table import Row
from diagnose.case.events import Case, Event, read_answer, read_complaint
from rules.rulebase import RuleBase, complaint_nodes

TABLES: dict[str, dict[str, Any]] = yaml.safe_load(
    (Path(__file__).parent / "trouble_tables.yaml").read_text(encoding="utf-8")
)["tables"]
SEEN = {"in the original", "as quoted elsewhere", "memory"}
LEAST_INDEPENDENT = 3


@dataclass(frozen=True)
class Printed:
    """One listed cause of one printed symptom."""

    table: str
    number: int
    body: Mapping[str, Any]

    @property
    def name(self) -> str:
        """For the test's id."""
        return f"{self.table}-{self.number}"

    def row(self, rules: RuleBase) -> Row:
        """The row as a table of a shop would have it."""
        tellings: list[tuple[Event, ...]] = [
            (read_complaint(rules, name),) for name in self.body.get("complaints", ())
        ]
        if "found" in self.body:
            found = self.body["found"].items()
            tellings = [tuple(read_answer(rules, name, text) for name, text in found)]
        symptom, listed, causes = (self.body[k] for k in ("symptom", "listed", "causes"))
        return Row(self.table, self.number, symptom, listed, tuple(tellings), tuple(causes))


ROWS = [
    Printed(table, number, body)
    for table, entry in TABLES.items()
    for number, body in enumerate(entry["rows"], 1)
]
COVERED = [row for row in ROWS if "causes" in row.body]
PUBLISHED = [name for name, entry in TABLES.items() if entry["seen"] != "memory"]


@pytest.fixture(scope="module")
def desk(offroad_shop: Workshop) -> CoverDesk:
    return CoverDesk(offroad_shop)


@pytest.fixture(scope="module")
def shown(offroad: RuleBase, desk: CoverDesk) -> dict[str, bool]:
    """Row name -> whether the symptom raises a cause of the row that can be checked."""
    return {row.name: desk.row(row.row(offroad)).verdict == "covered" for row in COVERED}


@pytest.mark.parametrize("row", COVERED, ids=lambda row: row.name)
def test_the_symptom_raises_the_listed_cause(row: Printed, shown: dict[str, bool]) -> None:
    """Told nothing but the symptom, and there is a check for the cause."""
    assert shown[row.name], f"{row.body['symptom']}: {row.body['listed']}"


@pytest.mark.parametrize("row", COVERED, ids=lambda row: row.name)
def test_the_causes_and_complaints_of_a_row_fit_each_other(row: Printed, offroad: RuleBase) -> None:
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
def test_what_an_inspection_rejects_is_not_ridden(
    row: Printed, offroad_shop: Workshop, offroad: RuleBase
) -> None:
    """State of Maryland, 11.14.03.02: reject vehicle if."""
    machine = machine_for(offroad, row.body["causes"][0])
    for telling in row.row(offroad).tellings:
        belief = offroad_shop.model.believe(Case(machine, {}, telling))
        assert belief.findings.do_not_ride


def test_a_symptom_does_not_raise_what_has_nothing_to_do_with_it(
    desk: CoverDesk, offroad: RuleBase
) -> None:
    """The measure can say no."""
    told = ((read_complaint(offroad, "seal-weep/rear"),),)
    assert desk.row(Row("", 1, "", "", told, ("front-rim-bent",))).verdict == "no path"
    assert desk.row(Row("", 1, "", "", told, ("shock-seal-leaking",))).verdict == "covered"
