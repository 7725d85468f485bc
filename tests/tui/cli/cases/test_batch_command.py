"""`badride case FOLDER`: a line per case, resumed, with an exit status for the bad ones."""

from __future__ import annotations

import json
from pathlib import Path

from click.testing import CliRunner

from rules.loading.pack_files import OFFROAD
from tests.places import MOWER
from tui.cli.main import main

CASE = "case: 1\ncomplaints: [no-start]\n"


def run(*words: object) -> tuple[int, str]:
    done = CliRunner().invoke(main, ["case", *map(str, words), "--pack", str(MOWER)])
    return done.exit_code, done.output


def test_a_folder_is_judged_and_gone_on_with(tmp_path: Path) -> None:
    cases, out = tmp_path / "cases", tmp_path / "out.jsonl"
    cases.mkdir()
    (cases / "a.yaml").write_text(CASE)
    status, told = run(cases, "--out", out)
    assert status == 0
    assert "1 case files" in told
    (cases / "b.yaml").write_text(CASE.replace("no-start", "no-stop"))
    status, told = run(cases, "--out", out)
    assert status == 1
    assert "1 were done before; 1 could not be judged" in told
    lines = [json.loads(text) for text in out.read_text().splitlines()]
    assert [line["file"] for line in lines] == ["a.yaml", "b.yaml"]
    assert "no-stop" in lines[1]["error"]
    (cases / "b.yaml").unlink()
    status, told = run(cases, "--out", out)
    assert (status, len(out.read_text().splitlines())) == (0, 1)


def test_what_a_story_leaves_to_be_asked_is_said_for_each_file(tmp_path: Path) -> None:
    cases = tmp_path / "cases"
    cases.mkdir()
    (cases / "a.yaml").write_text("case: 1\nstory: rear is harsh. forks at 9\n")
    (cases / "b.yaml").write_text("case: 1\ncomplaints: [harsh/rear]\n")
    words = ["case", str(cases), "--out", str(tmp_path / "out.jsonl"), "--pack", str(OFFROAD)]
    for _ in range(2):  # judged, then kept from before
        told = CliRunner().invoke(main, words).output
        assert "a.yaml: What is 9 psi: front tyre pressure, cold?" in told
        assert "b.yaml:" not in told


def test_a_folder_needs_a_place_for_its_lines(tmp_path: Path) -> None:
    status, told = run(tmp_path)
    assert status == 2
    assert "--out" in told
    (tmp_path / "a.yaml").write_text(CASE)
    status, told = run(tmp_path / "a.yaml", "--out", tmp_path / "x")
    assert status == 2
    assert "folder" in told
