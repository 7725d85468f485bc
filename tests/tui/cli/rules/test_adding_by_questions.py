"""Every kind of entry is added by questions, on a small pack; the shipped one is in `test_rules_add`."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from rules.loading.loader import load_packs
from rules.rulebase import RuleBase
from tests.places import MOWER
from tui.cli.main import main

HEAD = """\
# our mowers, kept since the wet spring
pack: {id: shop, title: Shop, version: "1", format: 1, about: Ours., builds_on: mower}
sources:
  bench: {kind: memory, title: our bench}   # what we remember

cautions:   # ours
  wet-grass: {text: Wet grass is slippery., source: bench}

observations:
  grass-look: {kind: question, ask: Is the grass wet?, minutes: 0.1, cautions: [wet-grass], source: bench}
rules:
  wet: {when: {fact: grass-look, is: "yes"}, then: {caution: wet-grass}, source: bench}
"""


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    folder = tmp_path / "shop"
    folder.mkdir()
    (folder / "pack.yaml").write_text(HEAD, encoding="utf-8")
    return folder


def add(shop: Path, kind: str, *typed: str, status: int = 0) -> Result:
    args = ["rules", "add", str(shop), kind, "--pack", str(MOWER)]
    result = CliRunner().invoke(main, args, input="".join(f"{line}\n" for line in typed))
    assert result.exit_code == status, result.output + repr(result.exception)
    return result


def loaded(shop: Path) -> RuleBase:
    return load_packs((MOWER, shop))


def test_a_cause_with_a_check_and_work_of_its_own_and_taken_back(shop: Path) -> None:
    made = add(
        shop, "cause", "Air filter soaked", "Oil in the filter chokes it.", "fuel", "5",
        "no-start", "likely", "new", "1", "Is the filter soaked?", "", "2", "1", "Take the lid off.", "", "", "", "",
        "very likely", "", "n", "n", "new", "Wash the filter", "Wash it.", "", "10", "1", "", "1", "n", "",
        "It tears.", "It starts.", "", "", "y",
    ).stdout  # fmt: skip
    assert "of them; before, in " in " ".join(made.split())
    assert "Air filter soaked: under 1 % -> " in made
    text = (shop / "pack.yaml").read_text("utf-8")
    for line in HEAD.splitlines():
        assert line in text.splitlines()  # every comment of theirs
    rules = loaded(shop)
    assert rules.causes["air-filter-soaked"].shows == {
        "no-start": "likely",
        "is-the-filter-soaked": "very likely",
    }
    assert rules.causes["air-filter-soaked"].correction == "wash-the-filter"
    undo = CliRunner().invoke(main, ["rules", "undo", str(shop)])
    assert "Taken back: Air filter soaked" in undo.stdout
    assert (shop / "pack.yaml").read_text("utf-8") == HEAD
    assert "nothing to undo" in CliRunner().invoke(main, ["rules", "undo", str(shop)]).stderr


def test_what_was_changed_by_hand_since_is_not_overwritten(shop: Path) -> None:
    add(shop, "change", "stale-fuel", "per_100", "9", "It was a long winter.", "", "y")
    assert loaded(shop).causes["stale-fuel"].per_100 == 9
    files = [path for path in shop.glob("*.yaml") if "stale-fuel" in path.read_text("utf-8")]
    files[0].write_text(files[0].read_text("utf-8") + "# mine\n", encoding="utf-8")
    undo = CliRunner().invoke(main, ["rules", "undo", str(shop)])
    assert undo.exit_code == 2
    assert "was changed since" in undo.stderr
    # another change of the same entry goes beside the first
    add(
        shop, "change", "stale-fuel", "shows", "vibration/deck", "unlikely", "It sputters.", "", "y"
    )
    cause = loaded(shop).causes["stale-fuel"]
    assert (cause.per_100, cause.shows["vibration/deck"]) == (9, "unlikely")
    (change,) = loaded(shop).changes("causes", "stale-fuel")
    assert change.reason == "It was a long winter. It sputters."


def test_checks_measurements_corrections_cautions_and_rules_are_joined(shop: Path) -> None:
    add(shop, "check", "2", "Does it cough?", "never", "now and then", "always", "", "2", "1", "0.5", "", "", "",
        "stale-fuel", "3", "6", "5", "", "", "y")  # fmt: skip
    add(shop, "measurement", "Oil level above the mark", "mm", "0 to 60", "above 40", "far over", "above 20", "over",
        "", "", "2", "2", "2", "", "", "", "plug-worn", "4", "", "", "", "y")  # fmt: skip
    add(shop, "correction", "Blow the tank dry", "Drain it.", "", "5", "1", "", "1", "n", "", "A spark.",
        "It starts at once.", "stale-fuel", "", "", "y")  # fmt: skip
    add(shop, "caution", "The muffler burns.", "spark-seen", "grass-look", "", "", "y")
    add(
        shop,
        "rule",
        "blade-wobble",
        "yes",
        "not hit-a-stone",
        "yes",
        "",
        "1",
        "2",
        "The blade is loose.",
        "",
        "y",
    )
    rules = loaded(shop)
    cause = rules.causes["stale-fuel"]
    assert cause.shows["does-it-cough"] == {"now-and-then": "unlikely", "always": "likely"}
    assert cause.correction == "blow-the-tank-dry"
    bands = rules.observations["oil-level-above-the-mark"].bands
    assert [(band.state, band.above) for band in bands] == [
        ("far-over", "40 mm"),
        ("over", "20 mm"),
    ]
    assert "the-muffler-burns" in rules.observations["spark-seen"].cautions
    assert rules.observations["grass-look"].cautions == ("wet-grass", "the-muffler-burns")
    made = next(rule for key, rule in rules.rules.items() if key.startswith("our-"))
    assert made.when.all is not None
    assert made.when.all[1].not_ is not None


def test_a_worked_case_that_happened(shop: Path) -> None:
    said = add(shop, "case", "Silent in spring", "n", "It stood in the shed.", "no-start", "", "tank-look", "stale",
               "", "stale-fuel", "", "Smell it first.", "", "y").stdout  # fmt: skip
    assert "Stale fuel (true): " in said
    text = (shop / "worked_cases" / "silent-in-spring.yaml").read_text("utf-8")
    assert "invented: false  # false: it happened; no names of people" in text
    assert "set: tuning  # tuning: strengths may be adjusted to it" in text


def test_nothing_is_lost_when_it_is_broken_off_or_not_kept(shop: Path) -> None:
    left = add(
        shop, "caution", "", "Text.", "<", "Mind the blade.", "no-such-work", status=1
    ).stdout
    assert "write something here" in left
    assert "'no-such-work' is none of what can be named here" in left
    assert "Put by." in left
    assert "Put by." in add(shop, "caution", "y", "spark-seen", "", "", "n").stdout
    assert (shop / "pack.yaml").read_text("utf-8") == HEAD
    assert "is written." in add(shop, "caution", "y", "y").stdout
    assert "mind-the-blade" in loaded(shop).cautions


def test_a_pack_that_is_wrong_is_not_added_to(shop: Path) -> None:
    (shop / "pack.yaml").write_text(HEAD.replace("text: Wet", "txt: Wet"), encoding="utf-8")
    assert "did you mean 'text'?" in add(shop, "caution", status=2).stderr


def test_a_name_of_the_wrong_kind_says_what_it_is(shop: Path) -> None:
    said = add(
        shop, "cause", "Air filter soaked", "Oil chokes it.", "fuel", "5",
        "stale-fuel", "no-start", "likely", "no-start", "tank-look", "1", "", "", "n", "n",
        "Stale fuel", "grass-look", status=1,
    ).stdout  # fmt: skip
    assert "“Stale fuel” is a cause, not a complaint or a check" in said
    assert "“Stale fuel” is a cause, not a correction" in said
    assert "“Is the grass wet?” is a check, not a correction" in said
    assert "is named already" in said
