"""What is set for good: read strictly, written without touching the rest of the file."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from hypothesis import given
from hypothesis import strategies as st

from diagnose.advice.assessor import Assessor
from rules.problems import BadInput
from tests import places
from tests.tui.conftest import OpenApp
from tui.cli.main import main
from tui.cli.settings import (
    NAMES,
    Settings,
    apply_to_terminal,
    keep_setting,
    option_defaults,
    read_settings,
    settings_path,
)

PACK = str(places.MOWER)


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "config" / "settings.yaml"
    monkeypatch.setenv("BADRIDE_SETTINGS", str(path))
    return path


def run(*arguments: str, given: str | None = None) -> Result:
    return CliRunner().invoke(main, arguments, input=given)


def test_nothing_is_set_where_there_is_no_file_or_an_empty_one(file: Path) -> None:
    assert read_settings(file) == Settings()
    file.parent.mkdir()
    file.write_text("\n# later\n")
    assert read_settings(file) == Settings()


def test_setting_one_leaves_the_rest_of_the_file_as_it_stands(file: Path) -> None:
    file.parent.mkdir()
    file.write_text("# for the shed\ntheme: dark   # it is dark there\nlarge: true\n")
    keep_setting(file, "large", "false")
    keep_setting(file, "motion", "none")
    assert file.read_text() == (
        "# for the shed\ntheme: dark   # it is dark there\nlarge: false\nmotion: none\n"
    )
    keep_setting(file, "large", None)
    assert read_settings(file) == Settings(theme="dark", motion="none")


@given(
    text=st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "S", "Zs")), min_size=1)
)
def test_any_place_of_a_store_is_read_back_as_written(
    tmp_path_factory: pytest.TempPathFactory, text: str
) -> None:
    path = tmp_path_factory.mktemp("set") / "settings.yaml"
    if not text.isprintable():
        with pytest.raises(BadInput):
            keep_setting(path, "store", text)
        return
    assert keep_setting(path, "store", text).store == text
    assert keep_setting(path, "theme", "light") == Settings(store=text, theme="light")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("theme: light\nthme: dark\n", ":2:1: error[extra-forbidden] at thme: this key is not known here; did you mean 'theme'?"),
        ("large: 1\n", ":1:1: error[bool-type] at large"),
        ("theme: blue\n", ":1:1: error[literal-error] at theme: write 'dark' or 'light'"),
        ("theme: light\n theme: dark\n", ":2:"),
        ("- a\n", ":1:1: error[mapping]"),
        ("theme: light\ntheme: dark\n", ":2:1: error[duplicate-key]"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_the_file_is_said_with_its_place(
    file: Path, text: str, said: str
) -> None:
    file.parent.mkdir()
    file.write_text(text)
    result = run("list", "causes", "--pack", PACK)
    assert result.exit_code == 2
    assert f"{file}{said}" in result.stderr
    assert "Traceback" not in result.stderr
    # and what mends it still works
    assert run("help", "files").exit_code == 0


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [("themes", "dark", "did you mean 'theme'?"), ("theme", "blue", "can be dark, light"),
     ("large", "yes", "can be true, false"), ("store", "a\nb", "one line")],
)  # fmt: skip
def test_what_cannot_be_set_is_refused_and_nothing_written(
    file: Path, name: str, value: str, said: str
) -> None:
    result = run("settings", name, value)
    assert result.exit_code == 2
    assert said in result.stderr
    assert not file.exists()


def test_a_setting_of_several_lines_is_left_to_the_person(file: Path) -> None:
    file.parent.mkdir()
    file.write_text("packs:\n  - one\n  - two\n")
    with pytest.raises(BadInput, match="several lines"):
        keep_setting(file, "packs", "three")
    assert read_settings(file).packs == ["one", "two"]


def test_options_go_before_the_environment_and_that_before_the_file(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run("settings", "store", str(tmp_path / "of-the-file.sqlite"))
    run("settings", "packs", PACK)
    monkeypatch.delenv("BADRIDE_STORE", raising=False)
    monkeypatch.delenv("BADRIDE_PACKS", raising=False)
    assert run("bike", "add", "Demo 1").exit_code == 0
    monkeypatch.setenv("BADRIDE_STORE", str(tmp_path / "of-the-environment.sqlite"))
    assert run("bike", "add", "Demo 2").exit_code == 0
    assert run("bike", "add", "Demo 3", "--store", str(tmp_path / "given.sqlite")).exit_code == 0
    for name, bike in (("of-the-file", 1), ("of-the-environment", 2), ("given", 3)):
        listed = run("bike", "list", "--store", str(tmp_path / f"{name}.sqlite")).stdout
        assert [f"Demo {n}" in listed for n in (1, 2, 3)] == [n == bike for n in (1, 2, 3)]
    assert "stale-fuel" in run("list", "causes").stdout  # of the pack that is set


def test_the_settings_command_shows_what_is_set(file: Path) -> None:
    run("settings", "theme", "light")
    shown = run("settings").stdout
    assert all(name in shown for name in NAMES)
    assert "theme          light" in shown
    assert str(file) in shown
    assert "usual" in run("settings", "theme", "usual").stdout
    assert read_settings(file) == Settings()


def test_settings_reach_the_libraries_that_draw_unless_the_environment_says_otherwise() -> None:
    environment = {"TEXTUAL_ANIMATIONS": "basic"}
    apply_to_terminal(Settings(colour="none", motion="none"), environment)
    assert environment == {"TEXTUAL_ANIMATIONS": "basic", "NO_COLOR": "1"}
    untouched: dict[str, str] = {}
    apply_to_terminal(Settings(), untouched)
    assert untouched == {}


def test_only_what_is_set_becomes_a_default() -> None:
    assert option_defaults(Settings(), {}) == {}
    defaults = option_defaults(Settings(theme="light", signs="ascii", store="x"), {})
    assert defaults == {"light": True, "ascii_only": True, "store": "x"}
    assert "store" not in option_defaults(Settings(store="x"), {"BADRIDE_STORE": "y"})


def test_where_the_file_is(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.delenv("XDG_CONFIG_HOME", raising=False)
    assert settings_path({}).is_relative_to(tmp_path)
    assert settings_path({"BADRIDE_SETTINGS": "~/mine.yaml"}) == tmp_path / "mine.yaml"


async def test_colours_and_targets_changed_on_the_screens_are_kept(
    open_app: OpenApp, mower_assessor: Assessor, file: Path
) -> None:
    def keep(name: str, value: str) -> None:
        keep_setting(file, name, value)

    async with open_app(mower_assessor, keep_setting=keep) as driver:
        await driver.press("ctrl+t", "ctrl+l")
        assert read_settings(file) == Settings(theme="light", large=True)
        await driver.press("ctrl+t", "ctrl+l")
        assert read_settings(file) == Settings(theme="dark", large=False)
        file.write_text("thme: x\n")
        await driver.press("ctrl+t")
        assert "Not kept for the next time" in driver.said[-1]


@pytest.mark.long
async def test_a_decimal_comma_is_shown_where_it_is_set(
    open_app: OpenApp, offroad_assessor: Assessor
) -> None:
    seen = {}
    for comma in (False, True):
        async with open_app(offroad_assessor, decimal_comma=comma) as driver:
            await driver.press("t")
            seen[comma] = driver.sent()
    assert seen[False] != seen[True]
    assert seen[False].replace(".", ",") == seen[True].replace(".", ",")


@pytest.mark.long
def test_the_plain_interview_shows_a_decimal_comma(file: Path) -> None:
    given = "harsh\n1\n1\n" + "?\n" * 25 + "q\n"
    plain = run("ask", "--keep-nothing", given=given).stdout
    run("settings", "decimal_comma", "true")
    comma = run("ask", "--keep-nothing", given=given).stdout
    assert "12.5 psi" in plain
    assert "12,5 psi" in comma
    assert "12.5 psi" not in comma
