"""The self check finds what is wrong, and says what to do."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from rules.problems import BadInput
from tests import places
from tui.cli.main import main
from tui.cli.program.looks import Seen, State, clock, room, rule_engine, see_all, terminal

PACK = str(places.MOWER)


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, ["self-check", "--pack", PACK, *arguments])


def test_a_sound_machine_is_as_it_should_be(tmp_path: Path) -> None:
    store = str(tmp_path / "store.sqlite")
    CliRunner().invoke(main, ["bike", "add", "Demo 250", "--store", store, "--pack", PACK])
    result = run("--store", store)
    assert result.exit_code == 0, result.output
    for word in ("Python 3", "durable-rules fires a rule", "digest", "sound, 1 bikes", "GB free"):
        assert word in result.stdout
    assert "All as it should be" in result.stdout


def test_it_makes_no_store(tmp_path: Path) -> None:
    assert run("--store", str(tmp_path / "none" / "store.sqlite")).exit_code == 0
    assert list(tmp_path.iterdir()) == []


def test_a_damaged_store_is_bad_and_the_rest_is_still_looked_at(tmp_path: Path) -> None:
    store = tmp_path / "store.sqlite"
    CliRunner().invoke(main, ["bike", "add", "Demo 250", "--store", str(store), "--pack", PACK])
    with sqlite3.connect(store) as connection:
        connection.execute("update bikes set changed_at = 'broken'")
    connection.close()
    result = run("--store", str(store))
    assert result.exit_code == 1
    assert "BAD" in result.stdout
    assert "not sound" in result.stdout
    assert "terminal" in result.stdout


def test_a_file_that_is_no_store_is_bad() -> None:
    result = run("--store", "/proc/version")
    assert result.exit_code == 1
    assert re.search(r"BAD\s.*/proc/version", result.stdout)


def test_a_kept_case_is_read_and_counted(tmp_path: Path) -> None:
    store = ("--store", str(tmp_path / "store.sqlite"))
    CliRunner().invoke(main, ["bike", "add", "Demo 250", *store, "--pack", PACK])
    asked = ["ask", "--bike", "Demo 250", *store, "--pack", PACK]
    CliRunner().invoke(main, asked, input="1\ndead\n1\n2\nf\n1\n")
    result = run(*store)
    assert result.exit_code == 0, result.output
    assert re.search(r"sound, 1 bikes, 1 cases, \d+ case entries", result.stdout)


def test_a_pack_that_does_not_load_is_bad(edited_pack: object, tmp_path: Path) -> None:
    CliRunner().invoke(
        main, ["bike", "add", "Demo 250", "--store", str(tmp_path / "s.sqlite"), "--pack", PACK]
    )
    (tmp_path / "pack").mkdir()
    (tmp_path / "pack" / "pack.yaml").write_text("causes: 3\n")
    result = CliRunner().invoke(
        main,
        ["self-check", "--pack", str(tmp_path / "pack"), "--store", str(tmp_path / "s.sqlite")],
    )
    assert result.exit_code == 1
    assert "pack.yaml:1" in result.stdout
    assert "not read, since the rules do not load" in result.stdout


@pytest.mark.parametrize("script", ["raise SystemExit('no such library')", "import os; os.abort()", "print([])"])  # fmt: skip
def test_a_rule_engine_that_does_not_work_is_bad(script: str) -> None:
    (seen,) = rule_engine(script)
    assert seen.state is State.BAD
    assert "pip install --force-reinstall" in seen.advice


def test_a_clock_that_cannot_be_right(tmp_path: Path) -> None:
    now = datetime(2026, 11, 25, 12, tzinfo=UTC)
    assert [s.state for s in clock(datetime(1970, 1, 1, tzinfo=UTC), None, tmp_path)] == [State.BAD]
    here = datetime.fromtimestamp(tmp_path.stat().st_mtime, UTC)
    assert [s.state for s in clock(here, None, tmp_path)] == [State.GOOD]
    late = max(now, here) + timedelta(days=1)
    (seen,) = clock(late, late + timedelta(days=2), tmp_path)
    assert seen.state is State.BAD
    assert "newest record" in seen.words
    assert [s.state for s in clock(late, late + timedelta(minutes=1), tmp_path)] == [State.GOOD]


def test_a_full_disk_is_bad(tmp_path: Path) -> None:
    (seen,) = room(tmp_path / "not" / "there" / "yet")
    assert seen.state is State.GOOD
    (seen,) = room(tmp_path, least=10**18)
    assert seen.state is State.BAD
    assert "make room" in seen.advice


@pytest.mark.parametrize(
    ("environment", "tty", "encoding", "size", "words"),
    [
        ({"TERM": "xterm", "LANG": "de_DE.UTF-8"}, True, "utf-8", ("100", "30"), ["xterm, 100 by 30", "colours; letters in utf-8"]),
        ({"TERM": "xterm", "LANG": "C", "NO_COLOR": "1"}, True, "ascii", ("100", "30"), ["xterm, 100 by 30", "no colours", "drawn in ASCII"]),
        ({"TERM": "xterm", "LANG": "C.UTF-8"}, True, "utf-8", ("60", "20"), ["60 columns and 20 lines"]),
        ({"TERM": "dumb"}, True, "utf-8", ("80", "24"), ["cannot draw"]),
        ({}, False, "utf-8", ("80", "24"), ["not a terminal"]),
    ],
)  # fmt: skip
def test_what_the_terminal_can_do(
    environment: dict[str, str], tty: bool, encoding: str, size: tuple[str, str],
    words: list[str], monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.setenv("COLUMNS", size[0])
    monkeypatch.setenv("LINES", size[1])
    said = "\n".join(s.words for s in terminal(environment, is_terminal=tty, encoding=encoding))
    assert all(word in said for word in words), said


def test_a_look_that_fails_does_not_stop_the_others() -> None:
    def fails() -> Iterator[Seen]:
        yield Seen(State.GOOD, "so far")
        raise BadInput("went \x1b[2Jwrong")

    def works() -> Iterator[Seen]:
        yield Seen(State.GOOD, "fine")

    seen = [(name, s.state, s.words) for name, s in see_all([("a", fails), ("b", works)])]
    assert seen == [
        ("a", State.GOOD, "so far"), ("a", State.BAD, r"went \x1b[2Jwrong"), ("b", State.GOOD, "fine")
    ]  # fmt: skip
