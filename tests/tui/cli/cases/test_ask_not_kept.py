"""The end of an interview whose answers the store does not take."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from diagnose.case.files import load_case
from diagnose.records.cases.keeping import CaseKeeping
from diagnose.records.store.store_problems import UnwritableStore
from rules.rulebase import RuleBase
from tests.places import MOWER
from tui.cli.main import main


def ask(store: Path, answers: str, *options: str) -> Result:
    given = ["ask", "--pack", str(MOWER), "--store", str(store), *options]
    return CliRunner().invoke(main, given, input=answers)


def fails(*_: Any) -> bool:
    raise UnwritableStore("store.sqlite: this place is read-only")


def test_what_the_store_did_not_take_is_counted_and_offered_as_a_file(
    mower: RuleBase, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store, file = tmp_path / "store.sqlite", tmp_path / "case.yaml"
    begun = ask(store, "dead\n1\n?\nq\n")
    assert begun.exit_code == 0
    assert "Case 1 is kept." in begun.output
    monkeypatch.setattr(CaseKeeping, "write", fails)
    answers = f"f\nq\n~nosuchuser/case.yaml\n{tmp_path}/no/case.yaml\n{file}\n"
    shown = ask(store, answers, "--case", "1")
    assert shown.exit_code == 1
    events = load_case(mower, file).events
    assert len(events) > 2
    missing = f"Not in the store: {len(events) - 2} of what was said."
    assert missing in " ".join(shown.output.split())
    assert "no home folder of that name" in shown.output
    assert "nothing was written" in shown.output
    assert "is kept." not in shown.output


def test_a_store_that_cannot_be_made_is_said_before_anything_is_asked(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    shown = ask(tmp_path / "file" / "store.sqlite", "dead\n1\nq\n")
    assert shown.exit_code == 2
    assert "--keep-nothing" in shown.stderr and "complaint>" not in shown.output
    shown = ask(tmp_path / "file" / "store.sqlite", "dead\n1\nq\n", "--keep-nothing")
    assert shown.exit_code == 0
