"""What a rider takes along, from the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from diagnose.records.cases.case_book import CaseBook
from diagnose.records.store.opening import open_store
from diagnose.records.store.place import at_path
from tests.clocks import Standing
from tests.mower_bikes import given_up, peopled_shop
from tests.places import MOWER
from tui.cli.main import main

LOOSE = """case: 1
story: It shook itself apart
person: owner
complaints: [vibration/deck, no-start]
answers: {blade-wobble: yes}
afterwards:
  - correction: new-blade
    answers: {blade-wobble: dont-know}
"""


@pytest.fixture
def packs(tmp_path: Path) -> list[str]:
    folder = tmp_path / "pack"
    folder.mkdir()
    peopled_shop(folder)
    return ["--pack", str(MOWER), "--pack", str(folder)]


def run(*words: str, given: str | None = None) -> str:
    done = CliRunner().invoke(main, list(words), input=given)
    assert done.exit_code == 0, done.output
    return done.output


def test_the_list_is_a_field_of_its_own_in_the_document(packs: list[str]) -> None:
    told = json.loads(run("case", "-", "--json", *packs, given=LOOSE))
    assert told["next_step"]["kind"] == "hand-over"
    assert told["do_not_ride"][0]["rule"] == "blade-loose"
    along = told["take_along"]
    assert along["story"] == "It shook itself apart"
    assert along["put_right"] == ["Done: Fit a new blade"]
    assert along["suspected"][0]["cause"] == "no-fuel"
    assert along["suspected"][0]["how_likely"]
    # open again: the shop can see what the owner could not
    checks = {check["observation"]: check for check in along["checks"]}
    assert checks["carburettor-inside"]["minutes"] == 30
    in_a_shop = LOOSE.replace("owner", "shop")
    assert json.loads(run("case", "-", "--json", *packs, given=in_a_shop))["take_along"] is None


def test_the_lines_of_a_case_end_with_the_list(packs: list[str]) -> None:
    text = run("case", "-", *packs, given=LOOSE)
    assert text.index("Take the bike to a workshop") < text.index("To take along to a workshop")
    assert "“It shook itself apart”" in text


def test_the_card_of_a_kept_case_is_the_list_unless_another_is_asked_for(
    packs: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "store.sqlite"
    monkeypatch.setenv("BADRIDE_STORE", str(file))
    rules = peopled_shop(tmp_path / "pack").rules
    CaseBook(open_store(at_path(file), Standing(), create=True), rules).begin(given_up())
    assert run("card", "1", *packs).startswith("# To take along to a workshop")
    assert run("card", "1", "--for", "workshop", *packs).startswith("# Job card, case 1")
    written = tmp_path / "list.html"
    run("card", "1", "--for", "take-along", "-o", str(written), *packs)
    assert "pulled till my arm came off" in written.read_text(encoding="utf-8")
    asked = run("ask", "--case", "1", *packs)
    assert "The list as a file: badride card 1 -o list.html (or .pdf, .md)" in asked
