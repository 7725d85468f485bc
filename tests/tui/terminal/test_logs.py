"""The log: where it broke, and nothing that was said of a customer."""

from __future__ import annotations

import logging
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tui.terminal.logs import log, log_breakdown, start_log

SECRET = "the rider of 12 High Street"  # noqa: S105
BREAKS = (
    "import tui.cli.main as cli\n"
    "def broken(*_, **__): raise KeyError('{secret}')\n"
    "cli.main.main = broken\n"
    "cli.start_log('{level}', cli.log_path())\n"
    "cli.run()\n"
)


@pytest.fixture(autouse=True)
def quiet_after() -> object:
    yield
    start_log("off", Path(os.devnull))


def break_down() -> KeyError:
    try:
        raise KeyError(SECRET)
    except KeyError as error:
        return error


@pytest.mark.parametrize("level", ["error", "warning", "info"])
def test_a_breakdown_says_where_and_not_what(tmp_path: Path, level: str) -> None:
    file = tmp_path / "state" / "badride.log"
    start_log(level, file)
    log_breakdown(break_down())
    text = file.read_text(encoding="utf-8")
    assert "ERROR broke down: KeyError" in text
    assert f"{__file__}:" in text
    assert SECRET not in text


def test_debug_says_what_too(tmp_path: Path) -> None:
    start_log("debug", tmp_path / "badride.log")
    log_breakdown(break_down())
    assert SECRET in (tmp_path / "badride.log").read_text(encoding="utf-8")


def test_no_file_is_made_for_nothing(tmp_path: Path) -> None:
    start_log("warning", tmp_path / "state" / "badride.log")
    log.info("started")
    assert list(tmp_path.iterdir()) == []
    start_log("off", tmp_path / "state" / "badride.log")
    log.error("never written")
    assert list(tmp_path.iterdir()) == []


def test_the_log_does_not_grow_without_end(tmp_path: Path) -> None:
    start_log("warning", tmp_path / "badride.log")
    for _ in range(60):
        log.warning("x" * 100_000)
    files = sorted(tmp_path.iterdir())
    assert [file.name for file in files] == [
        "badride.log",
        *(f"badride.log.{n}" for n in (1, 2, 3)),
    ]
    assert sum(file.stat().st_size for file in files) < 4_100_000


def test_a_log_that_cannot_be_written_stops_nothing(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:  # fmt: skip
    (tmp_path / "state").write_text("a file where the folder should be")
    start_log("warning", tmp_path / "state" / "badride.log")
    log.warning("lost")
    assert capfd.readouterr() == ("", "")
    logging.getLogger("another").warning("heard by others")


@pytest.mark.parametrize("level", ["warning", "debug"])
def test_a_person_gets_a_line_and_status_70(tmp_path: Path, level: str) -> None:
    done = subprocess.run(
        [sys.executable, "-c", BREAKS.format(secret=SECRET, level=level)],
        env={**os.environ, "HOME": str(tmp_path), "XDG_STATE_HOME": str(tmp_path)},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    if level == "debug":
        assert "Traceback" in done.stderr
        return
    assert done.returncode == 70
    assert "broke down on an error of its own (KeyError)" in done.stderr
    assert str(tmp_path / "badride" / "badride.log") in done.stderr
    assert "Traceback" not in done.stderr
    assert SECRET not in done.stderr
