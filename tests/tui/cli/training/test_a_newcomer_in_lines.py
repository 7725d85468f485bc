"""What a newcomer reads in lines: the worked example, the fading, the review, the sign-off."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pytest
from click.testing import CliRunner

from tests import places
from tui.cli.main import main

Run = Callable[..., str]

# how the case that a technician has begun is solved, from naming its cause on
EMPTY = "c\nout of fuel\n1\nr\nr\nd\nb\ny\n\n"


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Runs a command on a course that fades and asks for a sign-off, with Ann on it."""
    pack = tmp_path / "mower"
    shutil.copytree(places.MOWER, pack)
    course = pack / "training" / "course.yaml"
    text = course.read_text(encoding="utf-8")
    for old, new in (
        ("ready: {", "fading: {shown: [1, 0.75], feedback: 2, source: made-up}\nready: {"),
        ("exam_passed: true,", "exam_passed: false, signed_off: true,"),
        (
            "    drills: [order, information]\n",
            "    drills: [order, information]\n"
            "    at_the_bike: [Looks into a tank., Pulls a plug.]\n",
        ),
    ):
        assert old in text
        text = text.replace(old, new)
    course.write_text(text, encoding="utf-8")
    monkeypatch.setenv("BADRIDE_STORE", str(tmp_path / "store.sqlite"))
    monkeypatch.setenv("BADRIDE_PACKS", str(pack))
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))

    def runs(*args: str, says: str = "", status: int = 0) -> str:
        result = CliRunner().invoke(main, args, input=says, catch_exceptions=False)
        assert result.exit_code == status, result.output
        return result.output

    runs("trainee", "add", "Ann")
    return runs


def at(text: str, *parts: str) -> list[int]:
    """Where each of these parts stands in a text, all of which are there."""
    for part in parts:
        assert part in text, part
    return [text.index(part) for part in parts]


def test_the_first_customer_is_worked_to_the_end_and_every_step_says_why(run: Run) -> None:
    seen = run("course", "go", "Ann")
    order = at(
        seen, "LOOK INTO THE TANK", "At a real bike: Looks into a tank.",
        "A technician works the first customer: Dead again.", '"It is as dead as a stone."',
        "STEP 1", "It was: Stale fuel.", "Remember: Look into the tank first.",
        "Of the next customers the last steps are left to you, then all of them.",
        "Next lesson: dead-2",
    )  # fmt: skip
    assert order == sorted(order)
    head, *steps = re.split(r"^STEP ", seen, flags=re.MULTILINE)
    assert "They say unasked:" in head
    assert [step.split(",")[0] for step in steps] == [str(n + 1) for n in range(len(steps))]
    for step in steps:
        did, why = at(step, "\nTechnician: ", "\nWhy: ")
        assert did < why
    assert "It gave: Smells stale" in steps[0] and "Likeliest after it: Stale fuel" in steps[0]
    assert "Technician: Handed back to the customer" in steps[-1]
    assert "No cases yet." in run("trainee", "review", "Ann")
    assert "A technician works" not in run("course", "go", "Ann", says="q\n")


def test_at_a_terminal_the_example_waits_and_counts_once_it_was_gone_through(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    terminal = SimpleNamespace(stdin=SimpleNamespace(isatty=lambda: True))
    with monkeypatch.context() as at_one:
        at_one.setattr("tui.cli.training.training_common.sys", terminal)
        left = run("course", "go", "Ann", says="\n\n")
        assert left.count("Enter goes on: ") == 3
        assert "STEP 2" in left and "It was:" not in left
    assert "A technician works the first customer" in run("course", "go", "Ann")


def test_the_next_customer_is_begun_by_a_technician_and_the_last_steps_are_left(run: Run) -> None:
    run("course", "go", "Ann")
    first = run("course", "go", "Ann", says="q\n")
    assert "Lesson dead-2: Dead once more." in first
    assert "Going on with case" not in first  # nothing of it is the trainee's yet
    begun = first[first.index("A technician has begun; watch how, and go on from there.") :]
    assert re.search(
        r"^1\. Is there fresh fuel in the tank\? -> Empty\. Why: ", begun, re.MULTILINE
    )
    assert "\n2. " not in begun  # the work is left to the trainee
    own = run("course", "go", "Ann", says=EMPTY)
    # after a step of theirs they read what would have been done before it, and not what to do now
    assert own.count("Before this step it would have done the same.") == 3
    assert "Likeliest now: " in own and "Now it would do this" not in own
    assert "passed (from 70)" in own
    again = run("course", "go", "Ann", "dead-2", says="q\n")
    assert "Lesson dead-2: Another customer, for the lesson 'Dead once more'." in again
    assert "A technician" not in again


def test_the_review_tells_before_answer_and_after_and_who_made_each_step(run: Run) -> None:
    run("course", "go", "Ann")
    played = run("course", "go", "Ann", says=EMPTY.removesuffix("\n") + "r\n\n")
    for review in (run("trainee", "review", "Ann", "1", "--all"), played[played.index("STEP 1") :]):
        steps = re.split(r"^STEP \d+$", review, flags=re.MULTILINE)[1:]
        assert "A technician showed: Is there fresh fuel in the tank?" in steps[0]
        assert "You chose: " not in steps[0] and "As good as anything here." not in steps[0]
        order = at(
            steps[0], "Likeliest then: ", "A technician showed: ", "It gave: Empty",
            "Likeliest after it: Out of fuel", "Worth: no minute lost",
        )  # fmt: skip
        assert order == sorted(order)
        assert "You chose: Fill with fresh fuel (for: Out of fuel) (5 min)" in steps[1]
        order = at(steps[2], "You chose: Sent for a ride", "It gave: gone", "Likeliest after it: ")
        assert order == sorted(order)
        assert all("A technician" not in step for step in steps[1:])
        # what is next to impossible is not called likely
        assert "under 1 %" not in review


def test_a_trainer_signs_off_line_by_line_and_ready_asks_for_it(run: Run) -> None:
    lacking = "at a real bike: Look into the tank"
    assert lacking in " ".join(run("trainee", "compare", "Ann").split())
    done = run("trainee", "sign", "Ann", "look", "--by", "Demo Trainer", "--line", "2")
    assert done == "Signed off: Pulls a plug.\n"
    assert lacking in " ".join(run("trainee", "compare", "Ann").split())
    refused = run("trainee", "sign", "Ann", "look", "--by", "Demo Trainer", "--line", "3", status=2)
    assert "3 is not a line of it; there are 1 to 2" in refused
    nobody = run("trainee", "sign", "Ann", "look", "--by", " ", status=2)
    assert "say who signs it off" in nobody
    run("trainee", "sign", "Ann", "look", "--by", "Demo Trainer")
    assert lacking not in " ".join(run("trainee", "compare", "Ann").split())
    for told in (run("trainee", "show", "Ann"), run("trainee", "card", "Ann")):
        assert "Demo Trainer" in told and "Looks into a tank." in told
