"""`badride rules` as a shop uses it to look into, measure and print a rule base."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests import places
from tui.cli.main import main

MOWER = str(places.MOWER)
TABLE = "table: 1\ntitle: Ours\nsource: invented\nrows:\n"
COVERED = "  - {symptom: dead, cause: Out of fuel}\n"


def run(*args: str, width: int = 79) -> tuple[int, str, str]:
    result = CliRunner().invoke(main, ["rules", *args])
    assert result.exception is None or isinstance(result.exception, SystemExit)
    assert all(len(line) <= width for line in result.stdout.splitlines())
    return result.exit_code, result.stdout, result.stderr


def test_a_handbook_goes_to_a_page_or_a_folder(tmp_path: Path) -> None:
    page = tmp_path / "book.html"
    assert run("handbook", str(page), "--pack", MOWER, width=400)[0] == 0
    assert page.read_text(encoding="utf-8").startswith("<!doctype html>")
    folder = tmp_path / "deep" / "book"
    assert run("handbook", str(folder), "--pack", MOWER, width=400)[0] == 0
    names = {path.name for path in folder.iterdir()}
    assert names == {
        "handbook.html", "handbook.md", "handbook-matrix.svg", "handbook-chances.svg",
    }  # fmt: skip
    assert run("handbook", str(tmp_path / "b.md"), "--pack", MOWER, width=400)[0] == 0
    assert "b-matrix.svg" in (tmp_path / "b.md").read_text(encoding="utf-8")
    assert (tmp_path / "b-matrix.svg").exists()


def test_a_handbook_cannot_go_just_anywhere(tmp_path: Path) -> None:
    status, out, err = run("handbook", str(tmp_path / "book.docx"), "--pack", MOWER)
    assert (status, out) == (2, "")
    assert "end the name in .html or .md" in err
    (tmp_path / "file").write_text("mine", encoding="utf-8")
    assert run("handbook", str(tmp_path / "file"), "--pack", MOWER)[0] == 2
    assert (tmp_path / "file").read_text(encoding="utf-8") == "mine"


def test_a_graph_is_written_in_the_format_of_its_ending(tmp_path: Path) -> None:
    for name, start in (("g.graphml", "<?xml"), ("g.dot", 'digraph "mower"')):
        status, out, _ = run("graph", str(tmp_path / name), "--pack", MOWER, width=400)
        assert status == 0
        assert "nodes, " in out
        assert (tmp_path / name).read_text(encoding="utf-8").startswith(start)
    assert run("graph", str(tmp_path / "g.xls"), "--pack", MOWER)[0] == 2


def test_coverage_says_what_is_missing_with_its_line(tmp_path: Path) -> None:
    table = tmp_path / "t.yaml"
    table.write_text(TABLE + COVERED + "  - {symptom: shakes, cause: no-fuel}\n", encoding="utf-8")
    status, out, _ = run("cover", str(table), "--pack", MOWER, width=400)
    assert status == 1
    assert "t.yaml:6: gap: no path" in " ".join(out.split())
    assert out.endswith("Ours: 1 of 2 rows covered (50%), 0 left out.\n")
    gaps = run("cover", str(table), "--gaps", "--pack", MOWER, width=400)[1]
    assert "dead" not in gaps
    data = json.loads(run("cover", str(table), "--json", "--pack", MOWER, width=400)[1])
    assert [row["verdict"] for row in data["details"]] == ["covered", "no path"]
    assert data["details"][0]["path"]["rank"] == 1


def test_a_covered_table_has_status_0_and_a_bad_one_2(tmp_path: Path) -> None:
    table = tmp_path / "t.yaml"
    table.write_text(TABLE + COVERED, encoding="utf-8")
    assert run("cover", str(table), "--pack", MOWER, width=400)[0] == 0
    table.write_text(TABLE + "  - {symptom: dead, casue: x}\n", encoding="utf-8")
    status, out, err = run("cover", str(table), "--pack", MOWER)
    assert (status, out) == (2, "")
    assert "t.yaml:5:" in err
    assert "casue" in err
    assert run("cover", str(tmp_path / "none.yaml"), "--pack", MOWER)[0] == 2


@pytest.mark.long
def test_what_the_outcomes_hang_on() -> None:
    status, out, _ = run("sensitive", "--pack", MOWER, "--top", "3", "--plot")
    assert status == 0
    assert "4 worked cases" in out
    assert [line[:3] for line in out.splitlines() if " points" in line and ":" not in line] == [
        "  1",
        "  2",
        "  3",
    ]
    assert "no-fuel: how often it is there, 10 in 100" in out
    data = json.loads(run("sensitive", "--pack", MOWER, "--json", width=400)[1])
    swings = [entry["swing"] for entry in data["strengths"]]
    assert swings == sorted(swings, reverse=True)
    assert data["cases"] == 4


def test_nothing_to_hold_it_against_is_said(edited_pack: Callable[..., Path]) -> None:
    folder = str(edited_pack("module: tests}", "module: tests}"))
    status, _, err = run("sensitive", "--pack", folder)
    assert status == 1
    assert "no worked cases" in err


def test_why_of_a_cause_that_only_other_machines_have() -> None:
    status, out, _ = run("why", "battery-flat", "no-start", "--pack", MOWER)
    assert status == 0
    assert "worked out for one with engine: electric" in out
    assert "number 1" in out
    assert "charge-lamp: Is the charge lamp dark?" in out


def test_why_not() -> None:
    status, out, _ = run("why", "no-fuel", "vibration", "--pack", MOWER)
    assert status == 1
    assert "No path: it does not give this. It gives no-start." in out


def test_a_trial_tells_all_it_measured() -> None:
    status, out, err = run("trial", "--cases", "10", "--pack", MOWER, "--list", "short=spark-seen")
    assert status == 0
    for words in (
        "4 worked cases, 10 simulated ones",
        "Worked cases, all facts at once, 4 cases:",
        "Worked cases, told bit by bit, 4 cases:",
        "Simulated, the program, 10 cases:",
        "Simulated, short, 10 cases:",
        "The program over short, on the same cases:",
        "Calibration at the decision",
        "Brier score",
        "another cause named first in",
    ):
        assert words in out
    assert "of 24 (100%)" in err


def test_a_trial_as_people_who_cannot_tell_everything(edited_pack: Callable[..., Path]) -> None:
    people = "  people: {forgetful: {title: Forgetful, answers: {memory: 0.3}, does: anything}}\n"
    pack = str(edited_pack("  ride_cautions:", people + "  ride_cautions:"))
    args = ("trial", "--cases", "12", "--simulated-only", "--pack", pack, "--list", "x=spark-seen")
    status, out, _ = run(*args, "--person", "forgetful")
    assert status == 0
    table = out.partition("As a person of the kind 'forgetful', 12 bikes")[2]
    rows = [line.strip() for line in table.splitlines()[1:13]]
    assert rows[0].split() == ["the", "program", "x"]
    for name in (
        "complaint gone",
        "no wrong correction",
        "answers to the first advice, median",
        "longest run that moved nothing",
    ):
        assert any(row.startswith(name) for row in rows)
    document = json.loads(run(*args, "--person", "forgetful", "--json")[1])
    found = document["people"]["forgetful"]["the program"]
    assert found["bikes"] == 12
    assert 0 < found["unknown"]["times"] < found["unknown"]["cases"]
    assert found["idle"]["low"] <= found["idle"]["mean"] <= found["idle"]["high"]


@pytest.mark.long
def test_a_trial_against_another_pack(edited_pack: Callable[..., Path]) -> None:
    """The other holds that no fuel seldom shows in the tank: it is the worse in this truth."""
    certain = "tank-look: {empty: virtually certain}"
    other = str(edited_pack(certain, "tank-look: {empty: exceptionally unlikely}"))
    args = ("trial", "--cases", "30", "--seed", "3", "--pack", MOWER, "--against", other)
    status, out, _ = run(*args)
    assert status == 0
    verdict = out.splitlines()[:3]
    assert verdict[0].startswith("Verdict on mower 1: ")
    assert verdict[1].startswith("Better: ") and verdict[2].startswith("Worse: ")
    assert "Simulated, this rule base being the truth, 30 cases:" in out
    assert "Simulated, the other being the truth, 15 cases:" in out
    assert "adjusted for that (Holm)" in out
    data = json.loads(run(*args, "--truth", "this", "--json", width=10_000)[1])
    compared = data["comparison"]
    simulated = compared["cases"]["simulated, this rule base being the truth"]
    assert [entry["case"] for entry in simulated] == [f"seed {n}" for n in range(3, 33)]
    assert any(entry["this"]["named"] != entry["other"]["named"] for entry in simulated)
    first = next(d for d in compared["differences"] if d["measure"] == "first")
    assert first["mean"] < 0
    assert first["worse"] > first["better"]
    assert 0 < first["chance"] <= first["adjusted"] <= 1


def test_worked_cases_of_a_stack(tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "pack.yaml").write_text(
        'pack: {id: shop, title: S, version: "1", format: 1, about: A., builds_on: mower}\n'
        "switched_off:\n  observations:\n    blade-wobble: {reason: R., source: made-up}\n"
        "  rules:\n    blade-loose: {reason: R., source: made-up}\n",
        encoding="utf-8",
    )
    status, out, _ = run("test", MOWER)
    assert (status, out) == (
        0,
        "4 cases, a true cause first in 4, all in the top three (several: five) in 4.\n",
    )
    status, out, _ = run("test", MOWER, str(shop))
    assert status == 0
    assert "Left out, as they name what is switched off: met-a-stone" in out
    assert "3 cases, a true cause first in 3" in out
    data = json.loads(run("test", MOWER, "--json", width=400)[1])
    assert [entry["case"] for entry in data] == [
        "dark-lamp",
        "dry-tank",
        "last-years-fuel",
        "met-a-stone",
    ]


@pytest.mark.parametrize(
    "args",
    [
        ("--list", ","),
        ("--list", "x=no-such"),
        ("--person", "no-such"),
        ("--truth", "mine"),
        ("--against", "/no/such"),
    ],
)
def test_a_trial_of_nonsense_is_bad_input(args: tuple[str, str]) -> None:
    assert run("trial", "--pack", MOWER, "--cases", "10", *args)[0] == 2
