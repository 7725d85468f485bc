"""A mechanic adds what the shop knows, by answering questions."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from rules.loading.loader import load_pack
from tui.cli.main import main

# what is typed, a line an answer; empty lines go on
CHECK = ["1", "Does the skid plate touch the linkage?", "", "2", "1", "Look up from behind with a lamp.", "", "", "", ""]  # fmt: skip
CORRECTION = [
    "Straighten the skid plate", "Take the skid plate off.", "Hammer it flat on wood.", "", "25", "1", "", "1", "n",
    "", "It cracks at the old bend.", "The same section is no longer harsh at the rear.", "",
]  # fmt: skip
CAUSE = [
    "Skid plate presses on the linkage", "A bent skid plate touches the linkage and stops it early.", "linkage", "2",
    "harsh/rear", "likely", "new", *CHECK, "very likely", "", "n", "n", "new", *CORRECTION, "",
]  # fmt: skip


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def run(*args: str, typed: list[str] | None = None, status: int = 0) -> Result:
    result = CliRunner().invoke(main, args, input="".join(f"{line}\n" for line in typed or []))
    assert result.exit_code == status, result.output + repr(result.exception)
    return result


@pytest.mark.long
def test_a_cause_with_its_check_and_work_kept_asked_for_and_taken_back() -> None:
    made = run("rules", "add", "our-shop", "cause", typed=["y", *CAUSE, "y"])
    assert (
        "worked cases that tell of it, it moves " in " ".join(made.stdout.split())
        and "Skid plate presses on the linkage: " in made.stdout
    )
    text = Path("our-shop/added.yaml").read_text("utf-8")
    assert "per_100: 2  # of a hundred bad rides" in text
    rules = load_pack(Path("our-shop"))
    cause = rules.causes["skid-plate-presses-on-the-linkage"]
    assert cause.shows["harsh/rear"] == "likely"
    assert cause.correction == "straighten-the-skid-plate"
    assert run("rules", "check", "our-shop").stdout.endswith("No doubts.\n")
    undone = run("rules", "undo", "our-shop").stdout
    assert "Taken back: Skid plate presses on the linkage" in undone
    assert not Path("our-shop/added.yaml").exists()
    assert "nothing to undo" in run("rules", "undo", "our-shop", status=2).stderr


@pytest.mark.long
def test_what_is_not_kept_or_broken_off_is_put_by_and_gone_on_with() -> None:
    run("rules", "new", "our-shop")
    before = {p.name: p.read_text("utf-8") for p in Path("our-shop").glob("*.yaml")}
    cut = CAUSE[:7]
    left = run("rules", "add", "our-shop", "cause", typed=cut, status=1)
    assert "Put by." in left.stdout
    assert {p.name: p.read_text("utf-8") for p in Path("our-shop").glob("*.yaml")} == before
    again = run("rules", "add", "our-shop", typed=["y", *CAUSE[7:], "n"])
    assert "A cause with 7 answers is not finished" in again.stdout
    assert {p.name: p.read_text("utf-8") for p in Path("our-shop").glob("*.yaml")} == before
    run("rules", "add", "our-shop", "cause", typed=["y", "y"])  # all was answered already
    assert "skid-plate-presses-on-the-linkage" in load_pack(Path("our-shop")).causes


def test_a_wrong_answer_is_said_at_once_and_the_same_asked_again() -> None:
    run("rules", "new", "our-shop")
    typed = [
        "",
        "Title",
        "<",
        "Better title",
        "What.",
        "lnikage",
        "linkage",
        "lots",
        "2",
        "?bottoming rear",
    ]
    said = run("rules", "add", "our-shop", "cause", typed=typed, status=1).stdout
    assert "write something here" in said
    assert "'lnikage' is none of what can be named here; did you mean “linkage”?" in said
    assert "'lots' is not a number" in said
    assert "bottoming/rear" in said


@pytest.mark.long
def test_a_measurement_joined_to_causes_that_ship() -> None:
    typed = [
        "y", "Gap between tyre and mudguard at full bump", "mm", "0 to 120", "below 10", "rubs", "", "", "2", "3",
        "", "", "", "rear-sag-too-much", "4", "", "", "y",
    ]  # fmt: skip
    run("rules", "add", "our-shop", "measurement", typed=typed)
    rules = load_pack(Path("our-shop"))
    entry = rules.observations["gap-between-tyre-and-mudguard-at-full-bump"]
    assert (entry.unit, entry.limits, entry.bands[0].below) == ("mm", ("0 mm", "120 mm"), "10 mm")
    assert list(entry.states.values()) == ["as it should be", "rubs"]
    cause = rules.causes["rear-sag-too-much"]
    assert cause.shows["gap-between-tyre-and-mudguard-at-full-bump"] == "about as likely as not"
    assert rules.changes("causes", "rear-sag-too-much")[0].reason.startswith("Goes with our own")


@pytest.mark.long
def test_a_rule_a_caution_a_case_and_a_change() -> None:
    run("rules", "new", "our-shop")
    run("rules", "add", "our-shop", "caution",
        typed=["Hold the swingarm up: it drops when the bolt is out.", "replace-linkage-bearings", "", "", "y"])  # fmt: skip
    run("rules", "add", "our-shop", "rule",
        typed=["front-tyre-gauge", "below 6 psi", "", "2", "The tyre can come off the rim.", "", "y"])  # fmt: skip
    run("rules", "add", "our-shop", "change",
        typed=["fork-oil-old", "per_100", "9", "Mud all winter here.", "", "y"])  # fmt: skip
    case = run("rules", "add", "our-shop", "case", typed=[
        "Harsh after the tyre change", "n", "Harsh in the front since the tyre was changed.", "harsh/front", "",
        "front-tyre-gauge", "25 psi", "", "front-tyre-pressure-high", "", "Gauge before anything else.", "", "y",
    ]).stdout  # fmt: skip
    assert "Judged by all that is told:" in case and "(true)" in case
    rules = load_pack(Path("our-shop"))
    assert rules.causes["fork-oil-old"].per_100 == 9
    assert any(
        rule.then.do_not_ride == "The tyre can come off the rim." for rule in rules.rules.values()
    )
    assert "hold-the-swingarm-up-it-drops-when-the-bolt-is" in rules.cautions
    text = Path("our-shop/worked_cases/harsh-after-the-tyre-change.yaml").read_text("utf-8")
    assert "invented: false" in text
    assert run("rules", "undo", "our-shop").stdout.startswith("Taken back: Harsh after")
