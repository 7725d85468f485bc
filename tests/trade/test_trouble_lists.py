"""Troubleshooting lists as most shop manuals print them, written from memory: what they name, the
pack raises and can check. Lists seen in print are in `tests/published`."""

from __future__ import annotations

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.authoring.coverage import CoverDesk
from rules.rulebase import RuleBase
from tests.places import ROOT
from tests.trouble_rows import Listed, read_tables, rows_of

ROWS = rows_of(read_tables(ROOT / "tests/trade/trouble_lists.yaml"))


@pytest.fixture(scope="module")
def desk(offroad_assessor: Assessor) -> CoverDesk:
    return CoverDesk(offroad_assessor)


@pytest.mark.parametrize(
    "row", [row for row in ROWS if "causes" in row.body], ids=lambda row: row.name
)
def test_the_symptom_raises_the_listed_cause(
    row: Listed, offroad: RuleBase, desk: CoverDesk
) -> None:
    """Told nothing but the symptom, and there is a check for the cause."""
    assert row.fits(offroad)
    assert desk.row(row.row(offroad)).verdict == "covered"


def test_rows_left_out_say_why() -> None:
    for row in ROWS:
        assert ("causes" in row.body) != bool(row.body.get("left_out")), row.name
