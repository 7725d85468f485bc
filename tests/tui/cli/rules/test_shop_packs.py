"""A shop writes its own pack, as the README says, and works with it."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from pydantic_sarif.model import StaticAnalysisResultsFormatSarifVersion210JsonSchema as Sarif

from diagnose.case.files import load_worked_case
from rules.loading.loader import OFFROAD, load_pack
from tests import places
from tui.cli.main import main

Edit = Callable[..., Path]
MOWER = str(places.MOWER)


def run(*args: str, typed: str = "", env: dict[str, str] | None = None) -> Result:
    return CliRunner().invoke(main, args, input=typed, env=env)


def take_marks_off(file: Path) -> None:
    """What the README tells people to do with the examples: take `# ` off their lines."""
    rows = file.read_text(encoding="utf-8").splitlines()
    first = next(i for i, row in enumerate(rows) if re.match(r"# [a-z_]+:$", row))
    rows[first:] = [re.sub(r"^# ?", "", row) for row in rows[first:]]
    file.write_text("\n".join(rows) + "\n", encoding="utf-8")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """`badride rules new our-shop`, typed in an empty folder."""
    monkeypatch.chdir(tmp_path)
    result = run("rules", "new", "our-shop")
    assert result.exit_code == 0, result.output
    return tmp_path / "our-shop"


def test_a_new_pack_is_sound_and_changes_nothing(folder: Path) -> None:
    result = run("rules", "check", "our-shop")
    assert result.exit_code == 0
    assert result.stdout.endswith("\nNo doubts.\n")
    listed = run("list", "causes", "--pack", "our-shop").stdout
    assert len(listed.splitlines()) == len(run("list", "causes").stdout.splitlines())
    assert "Our shop" not in listed


@pytest.mark.long
def test_every_example_of_a_new_pack_is_sound(folder: Path) -> None:
    """Each kind of entry by itself, then all together."""
    off = {path: path.read_text(encoding="utf-8") for path in folder.glob("our_*.yaml")}
    sections = set()
    for path, text in off.items():
        take_marks_off(path)
        loaded = load_pack(folder)
        sections |= {
            section
            for section, _ in loaded.origins
            if loaded.origins[section, _].pack == "our-shop"
        }
        path.write_text(text, encoding="utf-8")
    assert sections >= {
        "causes",
        "observations",
        "corrections",
        "cautions",
        "rules",
        "findings",
        "heard",
        "before_ride",
    }
    for path in off:
        take_marks_off(path)
    result = run("rules", "check", "our-shop")
    assert result.exit_code == 0, result.stdout + result.stderr
    assert result.stdout.endswith("\nNo doubts.\n")
    case = folder / "worked_cases" / "an-example.yaml.off"
    case.rename(case.with_suffix(""))
    worked = load_worked_case(load_pack(folder), case.with_suffix(""))
    assert worked.truth == ("front-tyre-pressure-high",)


def test_a_pack_is_never_written_over(folder: Path) -> None:
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    result = run("rules", "new", "our-shop")
    assert result.exit_code == 2
    assert "is there already; nothing was written" in result.stderr
    assert {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()} == before


@pytest.mark.parametrize("name", ["---", "x" * 70])
def test_a_name_that_makes_no_id(tmp_path: Path, name: str) -> None:
    result = run("rules", "new", str(tmp_path / name))
    assert result.exit_code == 2
    assert "letters a to z" in result.stderr
    assert not (tmp_path / name).exists()


def test_a_pack_that_cannot_be_written(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    result = run("rules", "new", str(tmp_path / "file" / "shop"))
    assert result.exit_code == 2
    assert "Not a directory" in result.stderr


def test_a_cause_of_the_shop_is_asked_in_the_next_interview(folder: Path) -> None:
    """As the README says: new, take the marks off, ask; what the check says is tested above."""
    take_marks_off(folder / "our_causes.yaml")
    typed = "harsh\n1\n2\n" + "?\nw\n" * 25 + "q\n"
    result = run("ask", "--keep-nothing", "--pack", "our-shop", typed=typed)
    assert result.exit_code == 0, result.output
    assert "Off-road motorcycles + Our shop." in result.stdout
    question = "Is mud or sand packed hard around the linkage?"
    assert question in result.stdout
    asked = result.stdout.split(question)[1]
    why = asked.split("Why this now:")[1].split("Source:")[0]
    assert "Pack: Our shop" in why
    assert "Pack: Off-road motorcycles" in result.stdout
    # and it is not in the interview of somebody without the pack
    assert question not in run("ask", "--keep-nothing", typed=typed).stdout


def test_the_environment_may_name_the_packs(folder: Path) -> None:
    take_marks_off(folder / "our_changes.yaml")
    result = run("rules", "show", "legs-pinched", env={"BADRIDE_PACKS": str(folder)})
    assert "# changed in our-shop/our_changes.yaml, line 8, Our shop\n" in result.stdout
    assert "#   reason: Half of the bikes we see" in result.stdout
    assert "per_100: 5" in result.stdout


def test_what_is_switched_off_says_so(folder: Path) -> None:
    take_marks_off(folder / "our_changes.yaml")
    shown = run("rules", "show", "shock-fade-test", "--pack", "our-shop").stdout
    assert "# switched off in our-shop/our_changes.yaml" in shown
    assert "ask:" not in shown


def test_lists_and_documents_name_the_pack(folder: Path, tmp_path: Path) -> None:
    take_marks_off(folder / "our_causes.yaml")
    take_marks_off(folder / "our_changes.yaml")
    listed = run("list", "causes", "--pack", "our-shop").stdout
    assert "linkage-packed-with-mud\tLinkage packed with mud\tlinkage\tOur shop\n" in listed
    assert "\tOff-road motorcycles, changed by Our shop: Half of the bikes" in listed
    (tmp_path / "case.yaml").write_text(
        "case: 1\ncomplaints: [harsh/rear]\nanswers: {linkage-mud-look: yes}\n", encoding="utf-8"
    )
    made = json.loads(run("case", "case.yaml", "--json", "--pack", "our-shop").stdout)
    assert [pack["id"] for pack in made["packs"]] == ["offroad", "our-shop"]
    first = made["causes"][0]
    assert (first["id"], first["pack"], first["changed_by"]) == (
        "linkage-packed-with-mud",
        "our-shop",
        [],
    )
    pinched = next(cause for cause in made["causes"] if cause["id"] == "legs-pinched")
    assert (pinched["pack"], pinched["changed_by"]) == ("offroad", ["our-shop"])
    assert made["sources"]["our-workshop"].endswith("[Our shop]")


def test_a_single_pack_is_not_named_everywhere() -> None:
    made = run("ask", "--keep-nothing", "--pack", MOWER, typed="dead\nw\nq\n").stdout
    assert "Pack:" not in made
    assert "[Lawn mowers]" not in made


# -- for editors and for other programs ----------------------------------------------------------


def test_a_new_pack_brings_the_schema_its_files_point_to(folder: Path) -> None:
    schema = run("rules", "schema").stdout
    for path in folder.glob("*.yaml"):
        first = path.read_text(encoding="utf-8").splitlines()[0]
        name = first.removeprefix("# yaml-language-server: $schema=")
        assert (folder / name).read_text(encoding="utf-8") == schema
    result = run("rules", "schema", "-o", "again.json")
    assert result.exit_code == 0
    assert Path("again.json").read_text(encoding="utf-8") == schema


def test_a_schema_that_cannot_be_written_is_said_in_words(tmp_path: Path) -> None:
    result = run("rules", "schema", "-o", str(tmp_path / "nowhere" / "x.json"))
    assert result.exit_code == 2
    assert "nothing was written" in result.stderr


def test_sarif_is_what_the_standard_says(folder: Path) -> None:
    """Against models generated from the JSON schema of the standard (SARIF 2.1.0, OASIS)."""
    take_marks_off(folder / "our_causes.yaml")
    text = (folder / "our_causes.yaml").read_text(encoding="utf-8")
    broken = text.replace("harsh/rear: likely", "harsh/rear: often")
    (folder / "our_causes.yaml").write_text(broken, encoding="utf-8")
    result = run("rules", "check", "our-shop", "--sarif")
    assert result.exit_code == 2
    log = json.loads(result.stdout)
    Sarif.model_validate(log)
    ((found,),) = (run["results"] for run in log["runs"])
    place = found["locations"][0]["physicalLocation"]
    line = next(n for n, row in enumerate(broken.splitlines(), 1) if "harsh/rear: often" in row)
    assert place["artifactLocation"] == {"uri": "our-shop/our_causes.yaml", "uriBaseId": "SRCROOT"}
    assert place["region"] == {"startLine": line, "startColumn": 7}
    assert (found["level"], found["ruleId"]) == ("error", "reference")
    rules = log["runs"][0]["tool"]["driver"]["rules"]
    assert rules[found["ruleIndex"]]["id"] == found["ruleId"]


def test_sarif_of_doubts_and_of_the_pack_that_ships_which_has_none() -> None:
    doubts = run("rules", "check", MOWER, "--sarif")
    assert doubts.exit_code == 1
    log = Sarif.model_validate_json(doubts.stdout)
    assert [str(item.ruleId) for item in log.runs[0].results or ()] == [
        "no-caution",
        "counted-twice",
        "no-caution",
    ]
    clean = run("rules", "check", "--sarif")
    assert clean.exit_code == 0
    assert Sarif.model_validate_json(clean.stdout).runs[0].results == []


def test_a_sarif_log_with_a_slip_is_refused() -> None:
    """The models really check."""
    log = json.loads(run("rules", "check", MOWER, "--sarif").stdout)
    log["runs"][0]["results"][0]["level"] = "doubt"
    with pytest.raises(ValueError, match="level"):
        Sarif.model_validate(log)


def test_check_names_what_to_give(tmp_path: Path) -> None:
    assert "there is no such folder" in run("rules", "check", str(tmp_path / "none")).stderr
    file = OFFROAD / "pack.yaml"
    assert "give the folder of a pack" in run("rules", "check", str(file)).stderr
    stacked = run("rules", "check", MOWER, str(OFFROAD))
    assert stacked.exit_code == 2
    assert "stands by itself and must be the first" in stacked.stderr
