"""Course, exam and trainee records from the command line."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tests import places
from tui.cli.main import main

PACK = places.MOWER
Run = Callable[..., Result]

# how the cases of the small pack are solved: commit, ride with the cautions read, hand back
LOOK = "fresh fuel in the tank\n1\n"
STALE = LOOK + "c\nstale\n1\nr\nr\nd\nb\ny\n\n"
EMPTY = LOOK + "c\nout of fuel\n1\nr\nr\nd\nb\ny\n\n"
NOTHING = "b\ny\n\n"


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    monkeypatch.setenv("BADRIDE_STORE", str(tmp_path / "store.sqlite"))
    monkeypatch.setenv("BADRIDE_PACKS", str(PACK))
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.chdir(tmp_path)

    def runs(*args: str, says: str = "", status: int = 0) -> Result:
        result = CliRunner().invoke(main, args, input=says)
        assert result.exit_code == status, result.output
        return result

    return runs


def lines(result: Result) -> list[str]:
    assert max(map(len, result.output.splitlines()), default=0) <= 80
    return result.output.splitlines()


def test_a_lesson_from_adding_a_trainee_to_the_next_unit(run: Run) -> None:
    run("trainee", "add", "Ann")
    seen = run("course", "go", "ann", says=STALE).output
    assert "LOOK INTO THE TANK" in seen
    assert '"It is as dead as a stone."' in seen
    assert "What was wrong: Stale fuel" in seen
    assert "Open now: Try it (`badride course read ride`)." in seen
    assert "Next lesson: any-1, Whatever comes in; `badride course go ann`." in seen
    shown = run("course", "show", "Ann").output
    assert "Look into the tank  [done]" in shown and "Try it  [open]" in shown
    # the unit's text is shown once
    assert "LOOK INTO THE TANK" not in run("course", "go", "Ann", "dead-2", says=EMPTY).output


def test_a_lesson_left_open_goes_on(run: Run) -> None:
    run("trainee", "add", "Ann")
    left = run("course", "go", "Ann", says="fresh fuel in the tank\n1\n").output
    assert "Left open" in left
    again = run("course", "go", "Ann", says=STALE).output
    assert "Going on with case 1, after step 1." in again
    assert "  Is there fresh fuel in the tank? " in again
    listed = lines(run("trainee", "review", "Ann"))
    assert [row.split()[0] for row in listed[1:]] == ["1"]


def test_a_locked_lesson_and_an_unknown_one_are_refused(run: Run) -> None:
    run("trainee", "add", "Ann")
    locked = run("course", "go", "Ann", "any-1", status=2)
    assert "'Try it' is not open to Ann yet; 'Look into the tank' needs 1 lesson" in locked.output
    assert "did you mean 'dead-1'" in run("course", "go", "Ann", "daed-1", status=2).output
    assert "there is no trainee 'Bob'" in run("course", "go", "Bob", status=2).output
    assert "is not a unit" in run("course", "read", "3", status=2).output


def test_what_was_missed_is_due_the_next_day_and_can_be_played(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    run("trainee", "add", "Ann")
    run("course", "go", "Ann", says=NOTHING)
    assert "Nothing is due today." in run("course", "due", "Ann", "--go").output
    waiting = lines(run("course", "due", "Ann"))
    assert any(row.startswith("lesson dead-1: Dead again") for row in waiting)
    from tui.cli import storing

    tomorrow = datetime.now(UTC) + timedelta(days=1, hours=1)
    monkeypatch.setattr(storing, "now", lambda: tomorrow)
    assert "To repeat: " in run("course", "go", "Ann", says="q\n").output
    played = run("course", "due", "Ann", "--go", says=STALE).output
    assert "To repeat: " in played and "What was wrong: " in played


def test_an_exam_shows_no_score_before_its_end_and_is_compared(run: Run) -> None:
    for name in ("Ann", "Bob"):
        run("trainee", "add", name)
    assert "Short exam" in run("exam", "list").output
    says = "h\nq\nn\n" + EMPTY.rstrip("\n") + "\nq\ny\n"
    first = run("exam", "sit", "Ann", "short", says=says).output
    # leaving says what it costs, and asks; n has stayed
    assert first.count("y leave it, Enter stays> ") == 2 and "CASE 2 OF 2" in first
    assert first.count("left for longer it is given") == 3
    assert "there are no hints here" in first
    assert "Score" not in first and "What was wrong" not in first
    assert "exam is open" in run("trainee", "review", "Ann").output
    assert "an exam that is still open" in run("trainee", "review", "Ann", "1", status=2).output
    assert "0 cases" in run("trainee", "show", "Ann").output
    second = run("exam", "sit", "Ann", "short", says="b\ny\n").output
    assert "CASE 2 OF 2" in second and "Short exam: " in second and "Time taken" in second
    run("exam", "sit", "Bob", "short", "--give-up")
    results = lines(run("exam", "results", "short"))
    assert [row.split()[0] for row in results[1:3]] == ["Ann", "Bob"]
    assert any("Differences that are more than luck: none" in row for row in results)
    assert "Nobody has finished the exam 'long'" in run("exam", "results", "long").output


def test_an_exam_of_ones_own_is_written_and_checked(run: Run, tmp_path: Path) -> None:
    written = run("exam", "new", "ours.yaml", "--title", "Ours", "--case", "7", "--case", "dead-1")
    assert "ours.yaml is written: 2 cases" in written.output
    assert "an exam of 2 cases, pass mark 70" in run("course", "check", "ours.yaml").output
    assert (
        "a new file"
        in run("exam", "new", "ours.yaml", "--title", "X", "--case", "7", status=2).output
    )
    bad = run("exam", "new", "bad.yaml", "--title", "X", "--case", "7:hard", status=2).output
    assert "bad.yaml:4:5: error[case] at cases[0]: 'hard' is not a level" in bad
    assert not (tmp_path / "bad.yaml").exists()


CASE = """\
case: 1
title: Dead in spring
story: It stood all winter with fuel in it.
complaints: [no-start]
answers: {stood-all-winter: "yes", tank-look: stale}
truth: [stale-fuel]
teaches: Smell the tank before you pull the plug.
customer: Pulled my arm off and not a pop.
"""


def test_a_case_of_ones_own_is_checked_played_and_kept(run: Run, tmp_path: Path) -> None:
    (tmp_path / "spring.yaml").write_text(CASE)
    assert "the true cause is Stale fuel" in run("course", "check", "spring.yaml").output
    (tmp_path / "bad.yaml").write_text(CASE.replace("truth: [stale-fuel]", "truth: [stale]"))
    assert (
        "bad.yaml:6:9: error[reference] at truth[0]"
        in run("course", "check", "bad.yaml", status=2).output
    )
    alone = run("train", "--case", "spring.yaml", says=STALE).output
    assert '"Pulled my arm off and not a pop."' in alone
    assert "What it teaches: Smell the tank" in alone
    run("trainee", "add", "Ann")
    run("train", "--case", "spring.yaml", "--trainee", "Ann", says=STALE)
    run("train", "--lesson", "dead-1", "--trainee", "Ann", says=STALE)
    rows = list(csv.DictReader(io.StringIO(run("trainee", "export", "Ann").output)))
    assert [(r["scenario"], r["lesson"], r["passed"]) for r in rows] == [
        ("own:spring.yaml", "", "yes"), ("4::fuel", "dead-1", "yes"),
    ]  # fmt: skip


@pytest.mark.long
def test_progress_comparison_review_and_card_fit_the_screen(run: Run, tmp_path: Path) -> None:
    for name in ("Ann", "Bob of the Long Name"):
        run("trainee", "add", name)
        run("course", "go", name, says=STALE)
    for says in (NOTHING, EMPTY, STALE, NOTHING):
        run("course", "go", "Ann", "dead-2", says=says)
    shown = lines(run("trainee", "show", "Ann"))
    assert shown[0].startswith("Ann: 1 of 2 units done, 5 cases, ")
    assert any(row.startswith("Scores, case by case") for row in shown)
    assert any(row.startswith("fuel") for row in shown)
    assert any(row.startswith("lesson dead-2") for row in shown)
    compared = lines(run("trainee", "compare"))
    assert any(row.startswith("Ann lacks: ") for row in compared)
    assert any("(" in row and row.startswith("Ann ") for row in compared)
    assert len(lines(run("trainee", "compare", "--by", "group"))) == 3
    assert len(lines(run("trainee", "compare", "Ann", "--by", "measure"))) == 8
    review = lines(run("trainee", "review", "Ann", "1", "--all"))
    assert "STEP 1" in review and any(row.startswith("SCORE ") for row in review)
    assert "has no case 2" in run("trainee", "review", "Ann", "2", status=2).output
    assert "This is no qualification" in run("trainee", "card", "Ann").output
    run("trainee", "card", "Ann", "-o", "ann.pdf")
    assert (tmp_path / "ann.pdf").read_bytes().startswith(b"%PDF")
    assert "end the name in" in run("trainee", "card", "Ann", "-o", "ann.txt", status=2).output


def test_a_trainee_put_away_is_left_out_of_the_lists_and_comes_back(run: Run) -> None:
    run("trainee", "add", "Ann")
    run("trainee", "away", "Ann")
    assert "No trainees yet" in run("trainee", "list").output
    assert "Ann (put away)" in run("trainee", "list", "--all").output
    run("trainee", "away", "Ann", "--back")
    assert "Ann" in run("trainee", "list").output
    assert "already" in run("trainee", "add", "ANN", status=2).output
    assert "is not a name" in run("trainee", "add", " ", status=2).output
