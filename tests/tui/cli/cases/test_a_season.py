"""A bike's season from the command line, from an old bike to a damaged store; then a whole year."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner

from tui.cli.main import main
from tui.terminal.clock import today

Run = Callable[..., str]
BIKE = "Demo 250 (INVENTED)"


def ago(days: int) -> str:
    return (today() - timedelta(days=days)).isoformat()


@pytest.fixture
def run(tmp_path: Path) -> Run:
    def go(*words: str, given: str = "", status: int = 0) -> str:
        options = ["--store", str(tmp_path / "store.sqlite")]
        result = CliRunner().invoke(main, [*words, *options], input=given)
        assert result.exit_code == status, result.output
        return " ".join(result.output.split())

    return go


def old_bike(run: Run) -> None:
    """An old bike as it is taken over: 50 h, its settings and services of the spring."""
    run(
        "bike", "add", BIKE, "--on", ago(200), "--meter", "50 h",
        "--setting", "fork-compression-clicks=12 clicks", "--setting", "front-tyre-gauge=13 psi",
        "--service", "fork oil", "--service", f"brake fluid={ago(300)}",
    )  # fmt: skip


@pytest.mark.long
def test_old_bikes_clocks_and_baselines(run: Run) -> None:
    old_bike(run)
    shown = run("bike", "show", BIKE, "--log")
    assert f"{ago(200)} Fork compression: 12 clicks, baseline" in shown
    assert f"{ago(300)} Service: brake fluid" in shown
    due = run("bike", "due", BIKE)
    assert "Fork oil: 40 h left; 0 h since" in due
    assert "Shock oil: DUE since unknown: 50 h on record and no service; every 40 h" in due
    assert "Brake fluid: " in due and "every 24 months, rule of thumb" in due
    for words in (("shock oil",), ("chain", "spokes"), ("front tyre",), ("wheel", "bearings")):
        run("bike", "service", BIKE, *words)
    assert "DUE since unknown" not in run("bike", "due", BIKE).split("Shock oil")[1].split(";")[0]
    assert "can be 'linkage' or" in run("bike", "service", BIKE, "bearings", status=2)
    run("bike", "edit", BIKE, "--figure", "chain-care-interval=3 h", "--read-in", "manual, p. 9")
    assert "Chain: 3 h left; 0 h since" in run("bike", "due", BIKE)
    # dated back behind the baseline: said, and not lost
    said = run("bike", "set", BIKE, "fork-compression-clicks=10 clicks", "--on", ago(250))
    assert f"12 clicks of {ago(200)} is later, so that is how it stands" in said
    run("bike", "set", BIKE, "fork-compression-clicks=8 clicks")
    compared = run("bike", "compare", BIKE)
    assert "8 clicks" in compared and "4 clicks more" in compared
    assert "1 more on record; --all shows them too." in compared


@pytest.mark.long
def test_the_record_feeds_the_case_and_the_case_the_record(run: Run) -> None:
    old_bike(run)
    run("bike", "ride", BIKE, "2", "--on", ago(20), "--note", "crashed in a rut")
    run("bike", "service", BIKE, "front tyre", "--on", ago(10))
    run("bike", "ride", BIKE, "2", "--on", ago(5), "--felt", "wrong")
    run("bike", "set", BIKE, "fork-compression-clicks=8 clicks")
    asked = run(
        "ask", "--bike", BIKE,
        given="\nthe fork is harsh on small chop, front tyre pressure 25 psi cold\n\n\n\ns\n",
    )  # fmt: skip
    for ticked in (
        "dropped, crashed or landed badly",
        "front tyre changed",
        "front wheel out",
        "adjusters or preload turned",
    ):
        assert f"{ticked} (said: yes)" in asked
    assert "in clicks: 12 clicks (baseline of" in asked
    assert "8 clicks (moved off its baseline, setting of" in asked
    assert "Front tyre pressure: 25 psi (measured in case 1)" in run("bike", "show", BIKE, "--log")
    run("cases", "did", "1", "set-front-tyre-pressure")
    run("cases", "ride", "1", "gone")
    run("cases", "close", "1")
    learned = run("learned")
    assert "Of 1 case of “harsh (front)”, 1 was front tyre pressure too high." in learned
    assert "What spoke for it" in run("learned", "--cases")
    season = run("bike", "season", BIKE)
    assert "Fork compression: 12 to 8 clicks in 2 readings; baseline 12" in season
    assert "Front tyre pressure: 13 to 25 psi in 2 readings" in season
    assert "Hours on the bike: 50 to 54 h in 3 rides" in season
    assert "service: front tyre" in season and "case 1: Harsh (front), proven" in season
    assert "there is: Hours on the bike" in run("bike", "season", BIKE, "--only", "zzz", status=2)


@pytest.mark.long
def test_damage_is_found_and_a_backup_brings_it_back(run: Run, tmp_path: Path) -> None:
    old_bike(run)
    run("ask", "--bike", BIKE, given="\nthe fork is harsh on small chop\n\n\n\ns\n")
    run("cases", "note", "1", "waits for a gauge")
    assert "every entry is as it was written" in run("check-store")
    backup = tmp_path / "shop.backup"
    run("backup", str(backup))
    with closing(sqlite3.connect(tmp_path / "store.sqlite")) as raw, raw:
        raw.execute("DELETE FROM case_entries WHERE case_id = 1 AND seq = 3")
        raw.execute("UPDATE bike_entries SET body = replace(body, '12.0', '9.0') WHERE seq = 1")
    said = run("check-store", status=1)
    assert "NOT SOUND" in said
    assert "case 1: entry 3 is missing." in said and "`badride cases show 1 --journal`" in said
    assert f"bike 1 ({BIKE}): changed since it was written: entry 1." in said
    fresh = ["restore", str(backup), "--store", str(tmp_path / "new.sqlite")]
    result = CliRunner().invoke(main, fresh)
    assert result.exit_code == 0
    assert "Verified: every entry is as it was written." in result.output
    with closing(sqlite3.connect(backup)) as raw, raw:
        raw.execute("DELETE FROM case_entries WHERE case_id = 1 AND seq = 3")
    refused = CliRunner().invoke(main, [*fresh[:3], str(tmp_path / "other.sqlite")])
    assert refused.exit_code == 2
    assert "this backup is damaged, and nothing was restored" in refused.output
    assert re.search(r"case 1: entry 3 is missing", refused.output)
    taken = CliRunner().invoke(main, [*fresh[:3], str(tmp_path / "other.sqlite"), "--damaged"])
    assert taken.exit_code == 1


def examples_of_services() -> Iterator[list[str]]:
    import shlex

    from tui.cli.examples import examples

    for line, _ in examples()["bike service"]:
        yield shlex.split(line)[1:]


@pytest.mark.parametrize("words", list(examples_of_services()))
def test_what_help_shows_for_a_service_works(words: list[str], run: Run) -> None:
    run("bike", "add", words[2])
    run(*words)
