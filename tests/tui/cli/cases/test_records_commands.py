"""The store from the command line, as a person meets it."""

from __future__ import annotations

import json
import shlex
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from diagnose.advice.assessor import Assessor
from tests import places
from tests.places import ROOT
from tui.cli.main import main
from tui.cli.program.guide import text_of

PACK = str(places.MOWER)
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    monkeypatch.setenv("BADRIDE_STORE", str(tmp_path / "store.sqlite"))

    def go(*args: str, given: str | None = None) -> tuple[int, str, str]:
        pack = [] if args[0] in ("backup", "restore") else ["--pack", PACK]
        result = CliRunner().invoke(main, [*args, *pack], input=given)
        assert result.exception is None or isinstance(result.exception, SystemExit), (
            result.exception
        )
        return result.exit_code, result.stdout, result.stderr

    return go


def ok(result: tuple[int, str, str]) -> str:
    assert (result[0], result[2]) == (0, ""), result
    return result[1]


def refused(result: tuple[int, str, str], message: str) -> None:
    assert result[0] == 2, result
    assert message in result[2]
    assert "Traceback" not in result[2]


@pytest.fixture
def demo(run: Run) -> Run:
    ok(
        run(
            "bike",
            "add",
            "Demo",
            "--machine",
            "size=large",
            "--use",
            "lawn",
            "--figure",
            "plug-gap=0.75 mm",
            "--read-in",
            "leaflet, page 3",
            "--setting",
            "plug-gap-reading=0.75 mm",
        )
    )
    return run


def test_from_the_bike_to_the_proof_to_the_card(demo: Run, tmp_path: Path) -> None:
    first = ok(demo("ask", "--bike", "demo", given="\ndead\n1\n?\n"))
    assert "From the record, so it is not asked again:" in first
    assert "Plug gap: 0.75 mm (setting of" in first
    assert "Case 1 is kept. `badride ask --case 1` goes on from here." in first
    second = ok(demo("ask", "--case", "1", given="f\n"))
    assert "Assumed: Plug gap: 0.75 mm (setting of" in second
    third = ok(demo("ask", "--case", "1", given="1\n7\n2\n"))
    assert "Give a number from 1 to 2, or only Enter." in third
    assert "Ride to prove it" in third
    assert "Case 1 closed as proven." in third
    assert "Cause: Stale fuel." in third
    assert "Stale fuel" in ok(demo("cases", "list"))
    assert "1 case closed on a hunch" in " ".join(ok(demo("learned")).split())
    for audience in ("workshop", "customer"):
        assert "Stale fuel" in ok(demo("card", "1", "--for", audience))
        for ending, start in ((".pdf", b"%PDF"), (".html", b"<!doctype"), (".md", b"# ")):
            file = tmp_path / f"card{ending}"
            ok(demo("card", "1", "--for", audience, "-o", str(file)))
            assert file.read_bytes().startswith(start)
    assert "Nothing is filled in" in ok(demo("cases", "fill", "1"))
    filled = ("--customer", "Demo Rider", "--time", "1.5 h", "--price", "90 crowns")
    ok(demo("cases", "fill", "1", *filled, "--parts", "fuel"))
    said = ok(demo("cases", "fill", "1", "--parts", ""))
    assert said.splitlines() == ["Customer: Demo Rider", "Time taken: 1.5 h", "Price: 90 crowns"]
    assert "Price: 90 crowns" in ok(demo("card", "1", "--for", "customer"))
    refused(demo("cases", "fill", "1", "--time", "13 psi"), "Time taken: ")
    again = ok(demo("ask", "--bike", "Demo", given="\n"))
    assert "Before: case 1, today: Will not start; proven, Stale fuel" in again
    assert "Learned" not in again


def test_what_is_no_longer_so_is_asked_again(demo: Run) -> None:
    out = ok(demo("ask", "--bike", "Demo", given="9\nx\n1\ndead\n1\n?\n"))
    assert out.count("Give numbers from 1 to 1, or only Enter.") == 2
    assert "Plug gap" not in ok(demo("cases", "show", "1"))


def test_keeping_nothing_reads_and_writes_no_store(run: Run, tmp_path: Path) -> None:
    for left in ("", "q\n"):
        said = ok(run("ask", "--keep-nothing", given=f"dead\n1\n{left}"))
        assert "Nothing of this was kept." in said
    assert list(tmp_path.iterdir()) == []
    refused(run("ask", "--keep-nothing", "--case", "1"), "need the store")
    assert "Nothing was kept: nothing was answered" in ok(run("ask", given="dead\n1\n"))
    assert "Case 1 is kept" in ok(run("ask", given="dead\n1\n?\n"))


def test_ask_keeps_what_the_screens_keep(run: Run) -> None:
    assert "Case 1 is kept" in ok(run("ask", given="dead\n1\n3\nf\nq\n"))
    assert "Fill with fresh fuel" in ok(run("cases", "show", "1"))
    assert "Nothing was kept" in ok(run("ask", given=""))
    closed = ok(run("ask", given="dead\n1\n3\nf\n1\n\n"))
    assert "Case 2 closed as proven." in closed
    # the forecast of the moment is kept with the correction
    assert "Past rankings (1 case," in ok(run("learned", "--figures"))


def test_cases_can_be_closed_opened_noted_and_compared(demo: Run) -> None:
    ok(demo("ask", "--bike", "Demo", given="\ndead\n1\n3\nf\n"))
    ok(demo("cases", "note", "1", "rider says it coughs"))
    assert "coughs" in ok(demo("cases", "show", "1", "--journal"))
    assert [row.split()[0] for row in ok(demo("cases", "list", "COUGHS")).splitlines()[1:]] == ["1"]
    assert "not-proven. It has not been ridden" in ok(demo("cases", "close", "1"))
    refused(demo("cases", "close", "1"), "closed already")
    refused(demo("ask", "--case", "1"), "closed (not-proven)")
    ok(demo("cases", "reopen", "1"))
    ok(demo("cases", "ride", "1", "gone"))
    assert "closed as proven" in ok(demo("cases", "close", "1", "--cause", "no-fuel"))
    ok(demo("ask", given="dead\n1\n?\n"))
    compared = ok(demo("cases", "compare", "2"))
    assert "Out of fuel: 1 case" in compared
    assert "handed-over" in ok(demo("cases", "close", "2", "--handed-over"))


def test_what_was_done_without_being_told_is_added_and_can_be_proven(demo: Run) -> None:
    ok(demo("ask", "--bike", "Demo", given="\ndead\n1\n?\n"))
    told = ok(demo("cases", "did", "1", "fill-up"))
    assert "Kept: Fill with fresh fuel" in told
    assert "CAUTION: Try it on clear ground with shoes on." in told
    refused(demo("cases", "did", "1", "fil-up"), "did you mean 'fill-up'")
    ok(demo("cases", "ride", "1", "gone"))
    assert "closed as proven" in ok(demo("cases", "close", "1", "--cause", "stale-fuel"))
    # nothing was looked at or measured, so nothing is learned
    assert "hunch" in ok(demo("learned", "--cases"))
    refused(demo("cases", "did", "1", "fill-up"), "is closed (proven)")


def test_a_bike_file_with_a_bad_name_is_refused_where_it_stands(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "bike.yaml"
    path.write_text('bike: 1\nname: "a\\e[31mb"\n', encoding="utf-8")
    refused(run("bike", "import", str(path)), "bike.yaml:2:7: error[control]")
    path.write_text("bike: 1\nname: Good\n", encoding="utf-8")
    ok(run("bike", "import", str(path), "--name", "Plain"))
    refused(run("bike", "import", str(path), "--name", "a\x1bb"), "U+001B, which cannot be seen")


def test_a_name_is_quoted_for_the_shell(run: Run) -> None:
    assert """--bike 'it'"'"'s mine'`""" in ok(run("bike", "add", "it's mine"))


def test_learning_is_turned_off_reset_and_taken_anew(demo: Run) -> None:
    ok(demo("ask", "--bike", "Demo", given="1\ndead\n1\n2\nf\n1\n"))
    assert "is OFF" in ok(demo("learned", "--off"))
    assert "Learned from" not in ok(demo("ask", "--bike", "Demo", given="\n"))
    assert "is used" in ok(demo("learned", "--on"))
    assert "0 proven cases" in ok(demo("learned", "--reset"))
    assert "1 was stale fuel" in ok(demo("learned", "--unreset"))
    assert "Learned anew from 1 proven case." in ok(demo("learned", "--relearn", "--all"))
    assert "Learned from 1 proven case of this shop" in ok(
        demo("ask", "--bike", "Demo", given="\n")
    )
    assert "Learned" not in ok(demo("ask", "--bike", "Demo", "--no-learned", given="\n"))
    assert "Case 1: left out" in ok(demo("learned", "undo", "1"))
    assert "left out by hand" in " ".join(ok(demo("learned")).split())
    assert "Learned" not in ok(demo("ask", "--bike", "Demo", given="\n"))
    refused(demo("learned", "undo", "9"), "no lesson of case 9; `badride learned --cases`")
    assert "Case 1: taken in again" in ok(demo("learned", "redo", "1"))


def test_what_was_learned_goes_to_another_shop_and_comes_from_it(demo: Run, tmp_path: Path) -> None:
    file = tmp_path / "counts.yaml"
    refused(demo("learned", "export", str(file)), "there is nothing to pass on")
    ok(demo("ask", "--bike", "Demo", given="1\ndead\n1\n2\nf\n1\n"))
    ok(demo("learned", "export", str(file), "--shop", "North (INVENTED)"))
    text = file.read_text(encoding="utf-8")
    assert "stale-fuel" in text
    assert "Demo" not in text
    said = ok(demo("learned", "import", str(file)))
    assert "North (INVENTED): 1 case, each counted as 0.5 of one of ours." in said
    ok(demo("learned", "undo", "1"))
    assert "From North (INVENTED), apart: 1 case" in ok(demo("learned"))
    assert "of this shop and of other shops" in ok(demo("ask", "--bike", "Demo", given="\n"))
    assert "0.5 of 0.5" in ok(demo("learned", "--figures"))
    assert "counts as 1 of" in ok(demo("learned", "weigh", "north (invented)", "1"))
    assert "1 of 1" in ok(demo("learned", "--figures"))
    refused(demo("learned", "weigh", "North (INVENTED)", "2"), "2 is no weight: 0 (")
    refused(demo("learned", "remove", "Noth (INVENTED)"), "did you mean 'North (INVENTED)'")
    ok(demo("learned", "remove", "North (INVENTED)"))
    assert "North" not in ok(demo("learned"))
    for broken, told in (
        (
            text.replace("cases: 1", "cases: many"),
            "counts.yaml:10:7: error[int-type] at causes.stale-fuel.cases[0].cases",
        ),
        (text.replace("rules: mower", "rules: other"), "about the rule base 'other'"),
        (text.replace("found:", "fund:"), "at causes.stale-fuel.fund"),
        (text[:20], "counts.yaml"),
    ):
        file.write_text(broken, encoding="utf-8")
        refused(demo("learned", "import", str(file)), told)
    assert "North" not in ok(demo("learned"))


def test_bikes_keep_hours_settings_and_services(demo: Run, tmp_path: Path) -> None:
    assert "2.5 h in all" in ok(demo("bike", "ride", "Demo", "2.5", "--on", "2026-01-02"))
    ok(demo("bike", "set", "Demo", "plug-gap-reading=0.9 mm", "--note", "after the new plug"))
    assert "0.15 mm less" in ok(demo("bike", "compare", "Demo"))
    shown = ok(demo("bike", "show", "demo", "--log"))
    assert "after the new plug" in shown
    assert "leaflet, page 3" in shown
    ok(
        demo(
            "bike",
            "edit",
            "Demo",
            "--strike",
            "5",
            "--rename",
            "Demo two",
            "--figure",
            "plug-gap=none",
        )
    )
    assert "All 1 settings stand as in the baseline." in ok(demo("bike", "compare", "Demo two"))
    file = tmp_path / "bike.yaml"
    ok(demo("bike", "export", "Demo two", str(file)))
    ok(demo("bike", "import", str(file), "--name", "Twin"))
    assert (
        ok(demo("bike", "export", "Twin")).splitlines()[2:]
        == file.read_text(encoding="utf-8").splitlines()[2:]
    )
    ok(demo("bike", "archive", "Twin"))
    assert "Twin" not in ok(demo("bike", "list"))
    assert "Twin (archived)" in ok(demo("bike", "list", "--archived"))
    ok(demo("bike", "archive", "Twin", "--back"))
    ok(demo("bike", "due", "Twin"))
    ok(demo("bike", "check", "Twin"))


def test_the_hours_on_the_oil_are_told_as_the_guide_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Changed at 35 h, at 120 h now; set like a reading, it would be counted nowhere."""
    monkeypatch.setenv("BADRIDE_STORE", str(tmp_path / "store.sqlite"))

    def bike(*args: str) -> str:
        result = CliRunner().invoke(main, ["bike", *args])
        return result.stdout + result.stderr

    bike("add", "Demo")
    assert "counts by itself" in bike("set", "Demo", "hours-fork-service=85 h")
    guide = text_of("after-a-bad-ride")
    for row in guide[guide.index("counted, not typed in") :].split("```")[1].splitlines()[1:]:
        name, *args = shlex.split(row)
        assert name == "badride"
        CliRunner().invoke(main, [*args[:2], "Demo", *args[3:]], catch_exceptions=False)
    assert "85 h since 2026-05-01" in " ".join(bike("due", "Demo").split())


def test_backup_restore_and_export(demo: Run, tmp_path: Path) -> None:
    ok(demo("ask", "--bike", "Demo", given="1\ndead\n1\n2\nf\n1\n"))
    backup, other = str(tmp_path / "backup.sqlite"), str(tmp_path / "other.sqlite")
    assert "1 bikes, 1 cases" in ok(demo("backup", backup))
    assert "1 bikes, 1 cases" in ok(demo("restore", backup, "--store", other))
    assert ok(demo("cases", "list", "--store", other)) == ok(demo("cases", "list"))
    assert ok(demo("export")).startswith("case,bike,")
    assert json.loads(ok(demo("export", "--json")))["cases"][0]["cause"] == "stale-fuel"
    refused(demo("restore", backup), "already holds")
    refused(demo("backup", backup), "a file of that name")


@pytest.mark.parametrize(
    ("args", "message"),
    [
        (("bike", "show", "Dem"), "did you mean 'Demo'"),
        (("bike", "add", "demo"), "there is a bike 'Demo' already"),
        (("bike", "add", "X", "--machine", "size=vast"), "not one of small, large"),
        (("bike", "edit", "Demo"), "nothing to change"),
        (("bike", "edit", "Demo", "--strike", "99"), "99 is no log entry"),
        (("bike", "ride", "Demo"), "either the hours"),
        (("bike", "ride", "Demo", "85 h"), "What the hour meter reads is --meter. Hours that oil"),
        (("bike", "ride", "Demo", "2", "--on", "2099-01-01"), "has not come yet"),
        (("bike", "ride", "Demo", "2", "--on", "yesterday"), "not a date; write it like"),
        (("bike", "service", "Demo", "oil"), "no service clock"),
        (("bike", "import", "/none.yaml"), "No such file"),
        (("bike", "set", "Demo", "plug-gap-reading"), "not NAME=VALUE"),
        (("cases", "show", "7"), "no case 7"),
        (("cases", "list", "--complaint", "no-strat"), "did you mean 'no-start'"),
        (("card", "7"), "no case 7"),
        (("card", "7", "-o", "card.docx"), "end the name in .md, .html or .pdf"),
        (("ask", "--case", "7"), "no case 7"),
        (("ask", "--bike", "Nobody"), "there is no bike"),
        (("ask", "--bike", "Demo", "--case", "1"), "not both"),
        (("restore", "/none.sqlite"), "no store here"),
        (("export", "/none/cases.csv"), "nothing was written"),
        (("bike", "list", "--store", "mysql://u:pw@x/y"), "not a database address"),
    ],
)
def test_bad_input_is_a_message_and_status_2(
    demo: Run, args: tuple[str, ...], message: str
) -> None:
    result = demo(*args)
    refused(result, message)
    assert ":pw@" not in result[2]


def test_without_a_store_commands_say_how_to_begin_one(run: Run) -> None:
    for args in (
        ("bike", "list"),
        ("cases", "list"),
        ("learned", "--off"),
        ("card", "1"),
        ("ask", "--case", "1"),
    ):
        refused(run(*args), "`badride bike add NAME` begins one")


def test_without_a_store_nothing_was_learned_yet(run: Run) -> None:
    status, said, _ = run("learned")
    assert (status, said.split(":")[0]) == (0, "Nothing was learned yet")


def test_cases_and_bike_alone_are_their_lists(run: Run) -> None:
    assert run("bike", "add", "Demo")[0] == 0
    for name in ("bike", "cases"):
        assert CliRunner().invoke(main, [name]).stdout == ok(run(name, "list"))


def test_asking_without_a_store_does_not_load_the_database(mower_assessor: Assessor) -> None:
    import subprocess
    import sys

    code = "import sys\nfrom tui.cli.main import main\nmain(['ask', '--keep-nothing', '--pack', sys.argv[1]], standalone_mode=False)\nprint('sqlalchemy' in sys.modules, 'alembic' in sys.modules, 'fpdf' in sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", code, PACK],
        input="dead\n1\n",
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
    )
    assert done.stdout.splitlines()[-1] == "False False False"


def test_a_closed_case_becomes_a_worked_case_without_names(demo: Run, tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "pack.yaml").write_text(
        'pack: {id: shop, title: Shop, version: "1", format: 1, about: Ours., builds_on: mower}\n'
        "sources: {bench: {kind: memory, title: our bench}}\n",
        encoding="utf-8",
    )
    ok(demo("ask", "--bike", "demo", given="\ndead\n1\n2\n"))
    keep = ("cases", "keep-as-example", "1", str(shop))
    refused(demo(*keep), "case 1 is open")
    ok(demo("cases", "note", "1", "Ann brought it"))
    ok(demo("cases", "close", "1", "--handed-over"))
    refused(demo(*keep), "--cause ID")
    refused(demo(*keep, "--cause", "stale-fule"), "did you mean 'stale-fuel'")
    said = ok(demo(*keep, "--cause", "stale-fuel"))
    file = shop / "worked_cases" / "our-case-1.yaml"
    text = file.read_text("utf-8")
    assert "(true)" in said and "no names belong in it" in said
    assert "invented: false" in text and "truth: [stale-fuel]" in text
    assert "# tuning: strengths may be adjusted to it; aside: kept to judge them by" in text
    assert "Demo" not in text and "Ann" not in text
    refused(demo(*keep, "--cause", "stale-fuel"), "is there already")
    tested = CliRunner().invoke(main, ["rules", "test", PACK, str(shop)]).stdout
    assert tested.startswith("Shop: 1 case of its own, a true cause first in 1")
    assert "Taken back" in CliRunner().invoke(main, ["rules", "undo", str(shop)]).stdout
    assert not file.exists()
