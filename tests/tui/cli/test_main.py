"""The command line, as a process would meet it."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from diagnose.words.assessment_document import AssessmentDocument
from tests import places
from tui.cli.main import main

PACK = str(places.MOWER)
CASE = "case: 1\ncomplaints: [no-start]\nanswers: {tank-look: stale}\n"


def run(*args: str, given: str | None = None) -> tuple[int, str, str]:
    result = CliRunner().invoke(main, args, input=given)
    return result.exit_code, result.stdout, result.stderr


def test_a_case_from_a_file_and_from_standard_input_say_the_same(tmp_path: Path) -> None:
    path = tmp_path / "case.yaml"
    path.write_text(CASE, encoding="utf-8")
    from_file = run("case", str(path), "--pack", PACK)
    from_input = run("case", "-", "--pack", PACK, given=CASE)
    assert from_file == from_input
    assert from_file[0] == 0
    assert "1. Stale fuel: 94 %" in from_file[1]
    assert "Next step (Put right, about 5 min)" in from_file[1]


def test_json_is_one_document_of_the_documented_shape() -> None:
    status, out, _ = run("case", "-", "--json", "--pack", PACK, given=CASE)
    assert status == 0
    document = AssessmentDocument.model_validate_json(out)
    assert document.causes[0].id == "stale-fuel"
    assert document.causes[0].evidence_for[0].fact == "tank-look"
    assert document.next_step.kind == "correct"
    assert set(document.causes[0].sources) <= set(document.sources)
    assert json.loads(out)["format"] == "badride-assessment"


def test_how_many_causes_are_at_once_is_no_option() -> None:
    """Any number may be; an old script that sets it is told so."""
    status, _, err = run("case", "-", "--pack", PACK, "--causes-at-once", "3", given=CASE)
    assert status == 2
    assert "No such option" in err and "--causes-at-once" in err


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (CASE.replace("stale", "blue"), "standard input:3:11: error[fact] at answers.tank-look"),
        (CASE.replace("no-start", "no-strat"), "did you mean 'no-start'"),
        ("", "error[empty]"),
        ("\tcase: 1", "indent with spaces"),
    ],
)
def test_bad_input_is_named_with_status_2(text: str, message: str) -> None:
    status, out, err = run("case", "-", "--pack", PACK, given=text)
    assert (status, out) == (2, "")
    assert message in err
    assert "Traceback" not in err


def test_a_missing_file_or_pack_is_bad_input(tmp_path: Path) -> None:
    assert run("case", str(tmp_path / "none.yaml"), "--pack", PACK)[0] == 2
    status, _, err = run("list", "causes", "--pack", str(tmp_path))
    assert status == 2
    assert "no .yaml files" in err


def test_an_unsound_pack_is_refused_with_its_line(edited_pack: Callable[..., Path]) -> None:
    folder = edited_pack("    correction: new-plug\n", "    correction: new-plugs\n")
    status, _, err = run("list", "causes", "--pack", str(folder))
    assert status == 2
    assert "did you mean 'new-plug'" in err


@pytest.mark.parametrize(
    ("what", "row"),
    [
        ("causes", "no-fuel\tOut of fuel\tfuel"),
        ("complaints", "vibration\tShakes\tdeck, handle"),
        ("observations", "charge-lamp\tIs the charge lamp dark?\tquestion"),
    ],
)
def test_list_prints_an_entry_a_line(what: str, row: str) -> None:
    status, out, _ = run("list", what, "--pack", PACK)
    assert status == 0
    assert row in out.splitlines()


def test_the_interview_reads_standard_input_to_its_end() -> None:
    status, out, _ = run("ask", "--keep-nothing", "--pack", PACK, given="dead\n1\n2\n")
    assert status == 0
    assert "1. Stale fuel: 94 %" in out


def test_an_interrupt_leaves_politely() -> None:
    # whatever runs the tests in the background may have left its children deaf to interrupts
    code = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler); from tui.cli.main import main; main()"
    process = subprocess.Popen(
        [sys.executable, "-c", code, "ask", "--keep-nothing", "--pack", PACK],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )
    assert process.stdout is not None
    shown = b""
    while b"complaint>" not in shown:
        piece = os.read(process.stdout.fileno(), 4096)
        assert piece, shown
        shown += piece
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 130
    assert out.endswith(b"\nStopped.\n")
    assert err == b""


def test_an_option_of_the_screens_alone_is_told_where_it_belongs() -> None:
    status, _, problem = run("--light")
    assert status == 2
    assert "--light is an option of the screens: badride screen --light" in problem
