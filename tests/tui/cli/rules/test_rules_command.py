"""`badride rules`: a shop looks after its rule base."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests import places
from tui.cli.main import main

MOWER = str(places.MOWER)


def run(*args: str) -> tuple[int, str, str]:
    result = CliRunner().invoke(main, ["rules", *args])
    return result.exit_code, result.stdout, result.stderr


def test_check_lists_doubts_with_status_1() -> None:
    status, out, _ = run("check", MOWER)
    assert status == 1
    assert "warning[no-caution] observations.carburettor-inside" in out
    assert out.endswith("3 doubts.\n")
    assert out.startswith("Rests at best on")
    assert re.search(r"^memory +1 +\d+ +\d+$", out, re.MULTILINE)
    as_json = json.loads(run("check", MOWER, "--json")[1])
    assert (as_json["format"], as_json["version"], as_json["sound"]) == (
        "badride-rule-check",
        1,
        True,
    )
    assert {(found["level"], found["code"]) for found in as_json["found"]} == {
        ("warning", "no-caution"),
        ("warning", "counted-twice"),
    }


def test_check_refuses_an_unsound_pack_with_status_2(edited_pack: Callable[..., Path]) -> None:
    folder = str(edited_pack("    correction: new-plug\n", "    correction: new-plugs\n"))
    status, out, err = run("check", folder)
    assert (status, out) == (2, "")
    assert "did you mean 'new-plug'" in err
    as_json = json.loads(run("check", folder, "--json")[1])
    assert not as_json["sound"]
    found = {(problem["level"], problem["field"]) for problem in as_json["found"]}
    assert ("error", "causes.plug-worn.correction") in found


def test_show_prints_an_entry_and_where_it_stands() -> None:
    status, out, _ = run("show", "plug-worn", "--pack", MOWER)
    assert status == 0
    assert out.startswith("# causes, mower/pack.yaml, line ")
    assert "per_100: 6" in out


def test_an_unknown_id_is_bad_input() -> None:
    status, _, err = run("show", "plug-wron", "--pack", MOWER)
    assert status == 2
    assert "did you mean 'plug-worn'" in err
    assert run("why", "plug-wron", "no-start", "--pack", MOWER)[0] == 2
    assert run("why", "plug-worn", "no-strat", "--pack", MOWER)[0] == 2


def test_why_gives_the_path_in_numbers() -> None:
    status, out, _ = run("why", "plug-worn", "no-start", "--pack", MOWER)
    assert status == 0
    assert "Yes: likely, 78.0% by itself, 0.5% without it; speaks for it 156 times" in out
    assert "plug-gap-reading" in out


def test_worked_cases_are_tests(edited_pack: Callable[..., Path]) -> None:
    folder = edited_pack("module: tests}", "module: tests}")
    (folder / "worked_cases").mkdir()
    case = (
        "case: 1\ntitle: T\nset: tuning\ninvented: true\nstory: S\nteaches: W\nsource: made-up\n"
        "complaints: [no-start]\nanswers: {tank-look: empty}\ntruth: [no-fuel]\n"
    )
    (folder / "worked_cases" / "dry.yaml").write_text(case, encoding="utf-8")
    status, out, _ = run("test", str(folder))
    assert (status, out) == (
        0,
        "1 cases, a true cause first in 1, all in the top three (several: five) in 1.\n",
    )
    wrong = case.replace("[no-fuel]", "[blade-bent]")
    (folder / "worked_cases" / "dry.yaml").write_text(wrong, encoding="utf-8")
    status, out, _ = run("test", str(folder))
    assert status == 1
    assert out.startswith("dry: true blade-bent 4 %; ranked no-fuel over 99 %")


@pytest.mark.long
def test_a_trial_holds_the_program_against_a_checklist() -> None:
    status, out, _ = run(
        "trial",
        "--cases",
        "12",
        "--pack",
        MOWER,
        "--list",
        "hit-a-stone,stood-all-winter,spark-seen",
    )
    assert status == 0
    assert "Simulated, the program, 12 cases:" in out
    assert "The program over checklist 1, on the same cases:" in out


@pytest.mark.parametrize("args", [("--list", "no-such"), ("--cases", "3")])
def test_a_trial_of_nonsense_is_bad_input(args: tuple[str, str]) -> None:
    assert run("trial", "--pack", MOWER, *args)[0] == 2
