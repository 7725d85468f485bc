"""The installed command wherever it may be run: locales, closed and full streams, pipes, no home."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tests import places
from tests.places import ROOT
from tui.cli.main import main

MOWER = str(places.MOWER)
BADRIDE = [sys.executable, "-c", "from tui.cli.main import main; main()"]
CASE = "case: 1\ncomplaints: [no-start]\nanswers: {tank-look: stale}\n"
Done = subprocess.CompletedProcess[bytes]
InProcess = Callable[..., Result]


def surroundings(tmp_path: Path, **more: str) -> dict[str, str]:
    """A bare environment with a home of its own."""
    return {
        "PATH": os.environ["PATH"],
        "PYTHONPATH": str(ROOT),
        "HOME": str(tmp_path),
        "BADRIDE_PACKS": MOWER,
        **more,
    }


@pytest.fixture
def in_process(tmp_path: Path) -> InProcess:
    """The command in this process, as on a terminal that shows colours; one home for all calls."""
    environment = {**surroundings(tmp_path), "BADRIDE_STORE": str(tmp_path / "s")}
    return lambda *args: CliRunner(env=environment).invoke(main, args, color=True)


def run(tmp_path: Path, *args: str, given: bytes = b"", **more: str) -> Done:
    environment = surroundings(tmp_path, **more)
    return subprocess.run(
        [*BADRIDE, *args],
        env=environment,
        input=given,
        capture_output=True,
        timeout=60,
        check=False,
    )


def shell(tmp_path: Path, line: str, **more: str) -> Done:
    """A line of shell with `badride` in it."""
    environment = surroundings(tmp_path, PYTHON=sys.executable, **more)
    command = 'badride() { "$PYTHON" -c "from tui.cli.main import main; main()" "$@"; }; ' + line
    return subprocess.run(
        ["bash", "-c", command], env=environment, capture_output=True, timeout=60, check=False
    )


@pytest.mark.parametrize(
    "more",
    [
        pytest.param({"LC_ALL": "C"}, marks=pytest.mark.long),
        {"LC_ALL": "POSIX", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
        pytest.param({"LC_ALL": "xx_YY.no-such"}, marks=pytest.mark.long),
        pytest.param({"PYTHONIOENCODING": "ascii"}, marks=pytest.mark.long),
        pytest.param({"PYTHONIOENCODING": "latin-1"}, marks=pytest.mark.long),
        {"PYTHONIOENCODING": "cp437", "TERM": "dumb", "COLUMNS": "20"},
        pytest.param({"COLUMNS": "x", "LINES": "-1"}, marks=pytest.mark.long),
    ],
)
def test_any_locale_and_encoding_can_be_written_in(tmp_path: Path, more: dict[str, str]) -> None:
    added = run(tmp_path, "bike", "add", "Zoë 250", "--use", "Sand, 20 °C ≥ 🏍", given=b"", **more)
    if added.returncode:  # the arguments themselves could not be decoded
        assert b"all of them printable" in added.stderr
    else:
        shown = run(tmp_path, "bike", "show", "Zoë 250", given=b"", **more)
        assert (shown.returncode, shown.stderr) == (0, b"")
        assert b"Sand, 20 " in shown.stdout


@pytest.mark.long
def test_what_a_terminal_cannot_say_is_a_question_mark(tmp_path: Path) -> None:
    run(tmp_path, "bike", "add", "🏍 250")
    listed = run(tmp_path, "bike", "list", PYTHONIOENCODING="latin-1")
    assert (listed.returncode, listed.stderr) == (0, b"")
    assert b"\n? 250" in listed.stdout


@pytest.mark.parametrize("encoding", ["utf-8", "ascii"])
def test_what_cannot_be_decoded_is_an_answer_like_any_other(tmp_path: Path, encoding: str) -> None:
    typed = b"de\xffad\n\xc3\x28\ndead\n\xed\xa0\x80\n1\n2\n"
    done = run(tmp_path, "ask", "--keep-nothing", given=typed, PYTHONIOENCODING=encoding)
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"1. Stale fuel: 94 %" in done.stdout


@pytest.mark.parametrize(
    "command",
    ["badride case case.yaml", "badride --help"],
)
def test_a_full_disk_is_said_in_words(tmp_path: Path, command: str) -> None:
    (tmp_path / "case.yaml").write_text(CASE, encoding="utf-8")
    done = shell(tmp_path, f"cd; {command} > /dev/full")
    assert (done.returncode, done.stderr) == (2, b"standard output: No space left on device\n")


def test_a_reader_that_leaves_is_nothing_to_mention(tmp_path: Path) -> None:
    command = "badride rules schema"
    done = shell(tmp_path, f"{command} | head -c 1 > /dev/null; {command} | true; echo done")
    assert (done.stdout, done.stderr) == (b"done\n", b"")


@pytest.mark.long
def test_closed_streams_are_nothing_to_read_and_nowhere_to_write(tmp_path: Path) -> None:
    """The store is the first file opened: what is printed must not land in it."""
    done = shell(
        tmp_path,
        "badride bike add One >&- 2>&- <&- && badride bike add Two >&- && badride ask <&- >&-"
        " && badride self-check && badride bike list",
    )
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"sound, 2 bikes" in done.stdout


@pytest.mark.parametrize(
    "command",
    [
        "ask --keep-nothing",
        *(pytest.param(c, marks=pytest.mark.long) for c in ("harsh --ask", "case -")),
    ],
)
def test_no_input_at_all_is_the_end_of_input(tmp_path: Path, command: str) -> None:
    closed, empty = (shell(tmp_path, f"badride {command} {end}") for end in ("<&-", "</dev/null"))
    assert closed.returncode == empty.returncode in (0, 2)
    assert closed.stderr == empty.stderr
    assert b"Traceback" not in closed.stderr


@pytest.mark.parametrize(
    "line", ["badride < /dev/null", "badride screen 2> /dev/null", "TERM=dumb badride"]
)
def test_the_screens_say_that_they_need_a_terminal(tmp_path: Path, line: str) -> None:
    """They could neither be seen nor left, and would wait for ever."""
    done = shell(tmp_path, f"set -e; {line}")
    assert done.returncode == 2
    assert b"need a terminal" in done.stderr or "2> /dev/null" in line


@pytest.mark.parametrize("home", ["/dev/null", pytest.param("/proc", marks=pytest.mark.long)])
def test_without_a_home_to_write_in_only_what_is_kept_is_refused(tmp_path: Path, home: str) -> None:
    judged = run(tmp_path, "case", "-", given=CASE.encode(), HOME=home)
    assert (judged.returncode, judged.stderr) == (0, b"")
    kept = run(tmp_path, "bike", "add", "Demo", HOME=home)
    assert kept.returncode == 2
    assert b"(--store FILE, or BADRIDE_STORE)" in kept.stderr
    assert kept.stderr.count(b"\n") == 1


def test_names_of_files_need_not_be_text(tmp_path: Path, in_process: InProcess) -> None:
    folder = tmp_path / os.fsdecode(b"p\xff")
    folder.mkdir()
    (folder / "pack.yaml").write_text("pack: 1\n", encoding="utf-8")
    for form in ([], ["--json"], ["--sarif"]):
        assert in_process("rules", "check", str(folder), *form).exit_code == 2
    in_process("bike", "add", "Demo")
    copied = run(
        tmp_path,
        "backup",
        f"{folder}.sqlite",
        PYTHONIOENCODING="utf-8",
        BADRIDE_STORE=str(tmp_path / "s"),
    )
    assert (copied.returncode, copied.stderr) == (0, b"")


@pytest.mark.parametrize(
    "command", ["bike show", "bike add", "cases list", "ask --bike", "trainee show"]
)
def test_words_that_are_no_text_are_refused(in_process: InProcess, command: str) -> None:
    in_process("bike", "add", "Demo")
    done = in_process(*command.split(), os.fsdecode(b"De\xffmo"))
    assert done.exit_code == 2
    assert isinstance(done.exception, SystemExit)
    assert done.stderr.count("\n") == 1


@pytest.mark.parametrize(
    "args",
    [
        ["case", "no\x1b[31m\u202e.yaml"],
        ["rules", "check", "no\x1b]0;x\x07"],
        ["bike", "add", "a\x1b[2Jb"],
        ["bike", "list", "--store", "no\x1b[31m.sqlite"],
    ],
)
def test_what_is_refused_cannot_steer_the_terminal(in_process: InProcess, args: list[str]) -> None:
    done = in_process(*args)
    assert done.exit_code == 2
    assert not set(done.stderr) & set("\x1b\x07\u202e")
