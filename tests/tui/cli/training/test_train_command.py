"""`train`: a case played line by line, as a trainee meets it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tests import places
from tui.cli.main import main

MOWER = str(places.MOWER)


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


def train(*options: str, typed: str = "", pack: str | None = MOWER) -> Result:
    arguments = ["train", *(["--pack", pack] if pack else []), *options]
    return CliRunner().invoke(main, arguments, input=typed, catch_exceptions=False)


def keys(*lines: str) -> str:
    return "\n".join(lines) + "\n"


# seed 4, single: stale fuel, on a petrol mower
LOOK = ("fresh fuel", "1")
FILL = ("c", "stale fuel", "1")
RIDE = ("r", "r", "d")


def test_a_whole_case_from_the_customer_to_the_review() -> None:
    result = train(
        "--seed", "4", "--level", "single", typed=keys(*LOOK, *FILL, *RIDE, "b", "y", "r", "m", "")
    )
    assert result.exit_code == 0
    text = result.output
    for part in (
        "A customer walks in.",
        "They say unasked:",
        "-> Smells stale",
        "Fill with fresh fuel: 5 minutes, home mechanic.",
        "CAUTION: Try it on clear ground with shoes on.",
        "What was wrong: Stale fuel",
        "of 100",
        "Likeliest then:",
        "Source: from memory: invented for the tests",
    ):
        assert part in text, part
    # what is typed is not echoed here, so that only lines without a prompt can be held to the width
    assert max(len(line) for line in text.splitlines() if "> " not in line) <= 80


def test_the_truth_is_not_told_before_the_end() -> None:
    result = train("--seed", "4", "--level", "single", typed=keys("n", "h", "q"))
    assert "tale" not in result.output.replace("Smells stale", "")
    assert "goes on from this step" in result.output


def test_a_case_that_was_left_goes_on(tmp_path: Path) -> None:
    train("--seed", "4", "--level", "single", typed=keys(*LOOK))
    again = train("--seed", "4", "--level", "single", typed=keys("o", "", "y", ""))
    assert "Where you left it:" in again.output and "Smells stale" in again.output
    fresh = train("--seed", "4", "--level", "single", typed=keys("q"))
    assert "Where you left it:" not in fresh.output


def test_the_document_alone_stands_on_standard_output() -> None:
    result = train(
        "--seed", "4", "--level", "single", "--json", typed=keys(*LOOK, "o", "", "y", "")
    )
    document = json.loads(result.stdout)
    assert document["scenario"]["id"] == "4:single" and document["finished"]
    assert [step["move"]["do"] for step in document["review"]] == ["observe", "hand-over"]
    assert "A customer walks in." in result.stderr


def test_coach_mode_shows_the_view_beside_a_guess() -> None:
    typed = keys("fresh fuel", "1", "stale", "1", "", "2", "q")
    result = train("--seed", "4", "--level", "single", "--coach", typed=typed)
    assert "The program holds likeliest:" in result.output
    assert "By what was known then, what you named:" in result.output
    assert "Now it would do this:" in result.output
    assert "The result you expected:" in result.output


def test_a_worked_case_is_a_lesson() -> None:
    result = train(
        "--lesson", "front-tyre-at-street-pressure", typed=keys("o", "", "y", "r", ""), pack=None
    )
    assert "Case front-tyre-at-street-pressure." in result.output
    assert "What it teaches:" in result.output


def test_keys_words_and_numbers_that_mean_nothing_are_said_so() -> None:
    typed = keys("z", "xylophone", "fresh fuel", "77", "c", "xylophone", "", "?", "3", "", "q")
    result = train("--seed", "4", "--level", "single", typed=typed)
    assert result.exit_code == 0
    assert "'z' is no key here" in result.output
    assert "Nothing like 'xylophone'" in result.output
    assert "'77' is not one of the numbers" in result.output
    assert "No cause like 'xylophone'" in result.output
    assert "Every step is yours." in result.output
    assert "Look and feel on the bench:" in result.output


def test_an_end_is_asked_about_first() -> None:
    result = train("--seed", "4", "--level", "single", typed=keys("b", "", "o", "", "n", "q"))
    assert result.output.count("The case ends with this.") == 2
    assert "Give the bike back undiagnosed." in result.output
    assert "What was wrong" not in result.output


def test_the_fourth_hint_and_hints_in_an_exam_are_refused_in_words() -> None:
    result = train("--seed", "4", typed=keys("h", "h", "h", "h", "q"))
    assert "that was the last hint" in result.output
    result = train("--seed", "4", "--no-hints", typed=keys("h", "q"))
    assert "there are no hints here" in result.output


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--seed", "1", "--theme", "grass"), "'grass' is not a theme"),
        (("--seed", "1", "--level", "not-suspension"), "no cause makes a case"),
        (("--lesson", "nothing"), "'nothing' is not a lesson"),
        (
            ("--lesson", "nothing", "--seed", "1"),
            "leave the other, --seed, --level and --theme out",
        ),
    ],
)
def test_bad_options_end_with_a_message(options: tuple[str, ...], said: str) -> None:
    result = train(*options)
    assert result.exit_code == 2
    assert said in result.stderr
    assert "Traceback" not in result.output


def test_a_damaged_kept_case_is_named(tmp_path: Path) -> None:
    train("--seed", "4", "--level", "single", typed=keys(*LOOK))
    (path,) = (tmp_path / "state").rglob("*.json")
    path.write_text("{")
    result = train("--seed", "4", "--level", "single")
    assert result.exit_code == 2
    assert str(path) in result.stderr and "cannot go on" in result.stderr


def test_with_a_pack_added_the_same_seed_is_said_to_be_another_customer(tmp_path: Path) -> None:
    (tmp_path / "pack.yaml").write_text(
        "pack: {id: ours, title: Ours, version: '1', format: 1, about: Invented., builds_on: mower}\n"
        "sources: {ours: {kind: memory, title: invented for the tests}}\n"
    )
    said = "with other packs this seed is another customer"
    added = train("--pack", str(tmp_path), "--seed", "4", typed=keys("q"))
    assert said in " ".join(added.output.split())
    assert said not in " ".join(train("--seed", "4", typed=keys("q")).output.split())


def test_themes_are_listed() -> None:
    assert "fuel: Fuel. What is in the tank." in train("--theme", "list").output


def test_simulated_trainees_are_ranked_in_a_table() -> None:
    result = train("--simulate", "12", "--seed", "3")
    assert result.exit_code == 0
    assert "12 cases, the same for every habit" in result.stdout
    scores = [line.split()[0] for line in result.stdout.splitlines() if " / " in line]
    assert scores == [
        "habit", "nothing", "random", "lucky", "checklist", "untested", "likeliest", "slips",
        "advised",
    ]  # fmt: skip
    assert max(map(len, result.stdout.splitlines())) <= 80
