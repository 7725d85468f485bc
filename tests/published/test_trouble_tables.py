"""Printed troubleshooting lists: what they name, the pack raises and can check.

Sources stand in `trouble_tables.yaml` beside each list. Many lists name the same cause for several
symptoms; each is a row of its own.
"""

from __future__ import annotations

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.authoring.complaint_odds import machine_for
from diagnose.authoring.coverage import CoverDesk
from diagnose.authoring.coverage_table import SymptomRow
from diagnose.case.events import Case, read_complaint
from rules.rulebase import RuleBase
from tests.places import ROOT
from tests.trouble_rows import Listed, read_tables, rows_of

TABLES = read_tables(ROOT / "tests/published/trouble_tables.yaml")
ROWS = rows_of(TABLES)
COVERED = [row for row in ROWS if "causes" in row.body]
LEAST_INDEPENDENT = 3


@pytest.fixture(scope="module")
def desk(offroad_assessor: Assessor) -> CoverDesk:
    return CoverDesk(offroad_assessor)


@pytest.fixture(scope="module")
def shown(offroad: RuleBase, desk: CoverDesk) -> dict[str, bool]:
    """Row name -> whether the symptom raises a cause of the row that can be checked."""
    return {row.name: desk.row(row.row(offroad)).verdict == "covered" for row in COVERED}


@pytest.mark.parametrize("row", COVERED, ids=lambda row: row.name)
def test_the_symptom_raises_the_listed_cause(
    row: Listed, offroad: RuleBase, shown: dict[str, bool]
) -> None:
    """Told nothing but the symptom, and there is a check for the cause."""
    assert row.fits(offroad)
    assert shown[row.name], f"{row.body['symptom']}: {row.body['listed']}"


def test_rows_left_out_say_why() -> None:
    for row in ROWS:
        assert ("causes" in row.body) != bool(row.body.get("left_out")), row.name
        assert row.body["symptom"]
        assert row.body["listed"]


def test_every_table_says_where_it_is_from() -> None:
    for name, entry in TABLES.items():
        assert entry["seen"] in {"in the original", "as quoted elsewhere"}, name
        assert entry["author"], name
        assert entry["title"], name
        assert entry["page"], name


def test_coverage_is_printed_and_enough(
    shown: dict[str, bool], capsys: pytest.CaptureFixture[str]
) -> None:
    """At least three independent printed lists in full."""
    full = set()
    with capsys.disabled():
        print("\nprinted troubleshooting lists, rows raised and checkable / rows (left out):")
        for name, entry in TABLES.items():
            rows = [row for row in COVERED if row.table == name]
            hits = sum(shown[row.name] for row in rows)
            out = len(entry["rows"]) - len(rows)
            print(f"  {name} ({entry['seen']}): {hits}/{len(entry['rows'])} ({out} left out)")
            if hits == len(rows):
                full.add(entry["author"])
        print(f"  all: {sum(shown.values())}/{len(ROWS)}")
    assert len(full) >= LEAST_INDEPENDENT


@pytest.mark.parametrize(
    "row",
    [row for row in COVERED if TABLES[row.table].get("forbids_riding")],
    ids=lambda row: row.name,
)
def test_what_an_inspection_rejects_is_not_ridden(
    row: Listed, offroad_assessor: Assessor, offroad: RuleBase
) -> None:
    """State of Maryland, 11.14.03.02: reject vehicle if."""
    machine = machine_for(offroad, row.body["causes"][0])
    for telling in row.row(offroad).tellings:
        belief = offroad_assessor.model.believe(Case(machine, {}, telling))
        assert belief.findings.do_not_ride


def test_a_symptom_does_not_raise_what_has_nothing_to_do_with_it(
    desk: CoverDesk, offroad: RuleBase
) -> None:
    """The measure can say no."""
    told = ((read_complaint(offroad, "seal-weep/rear"),),)
    assert desk.row(SymptomRow("", 1, "", "", told, ("front-rim-bent",))).verdict == "no path"
    assert desk.row(SymptomRow("", 1, "", "", told, ("shock-seal-leaking",))).verdict == "covered"
