"""`badride listen`, and a case file that tells a story."""

from __future__ import annotations

import json
from pathlib import Path

from click.testing import CliRunner

from tui.cli.main import main


def run(*arguments: str, given: str | None = None) -> str:
    result = CliRunner().invoke(main, arguments, input=given)
    assert result.exit_code == 0, result.output
    return result.stdout


def test_what_was_understood_stands_with_its_words() -> None:
    text = run("listen", "fork is harsh over roots, my mate's bike bottoms out")
    assert "Complaint: Harsh (front), from “harsh”" in text
    assert "Does it show on rocks and roots? Yes, from “over roots”" in text
    assert "Not taken (of another bike): bottoming" in text


def test_the_document_has_every_part() -> None:
    document = json.loads(run("listen", "--json", "-", given="it bottoms out, 14 psi in the rear"))
    assert document["format"] == "badride-heard"
    assert [c["id"] for c in document["complaints"]] == ["bottoming"]
    assert document["did_you_mean"][0]["asks"] == "place"
    assert document["facts"][0]["reading"] == "14 psi"
    assert {"not_taken", "machine", "pending", "remarks", "story"} <= document.keys()


def test_a_case_tells_what_its_story_leaves_open(tmp_path: Path) -> None:
    file = tmp_path / "case.yaml"
    file.write_text("case: 1\nstory: it bottoms out on landings\n")
    text = run("case", str(file))
    assert "Which end is it: front, rear? (bottoming, from “" in text
    document = json.loads(run("case", "--json", str(file)))
    assert [q["id"] for q in document["did_you_mean"]] == ["bottoming"]


def test_a_story_that_nothing_is_understood_of_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "case.yaml"
    file.write_text("case: 1\nstory: good morning\n")
    result = CliRunner().invoke(main, ["case", str(file)])
    assert result.exit_code == 2
    assert "no complaint is understood in the story" in result.stderr
