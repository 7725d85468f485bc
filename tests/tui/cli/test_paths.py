"""Every command reads the paths that it is given in one way."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from tui.cli.main import main

NOBODY = "~nosuchuser/x.yaml"


@pytest.mark.parametrize(
    "command",
    [
        ["case", NOBODY], ["case", "x.yaml", "--folder", NOBODY], ["bike", "import", NOBODY],
        ["backup", NOBODY], ["restore", NOBODY], ["export", NOBODY], ["cases", "list", "--store", NOBODY],
        ["case", "x.yaml", "--pack", NOBODY], ["rules", "check", NOBODY], ["rules", "new", NOBODY],
        ["rules", "graph", NOBODY], ["rules", "handbook", NOBODY], ["rules", "cover", NOBODY],
        ["rules", "test", NOBODY], ["exam", "check", NOBODY], ["exam", "sit", NOBODY, "--as", "Kim"],
        ["course", "merge", NOBODY], ["picture", NOBODY], ["serve", "--key", NOBODY],
        ["serve", "--pack", NOBODY], ["serve", "--store", NOBODY],
    ],
    ids=" ".join,
)  # fmt: skip
def test_a_home_folder_that_nobody_has_is_told_in_words(command: list[str]) -> None:
    shown = CliRunner().invoke(main, command)
    assert shown.exit_code == 2, shown.output


@pytest.mark.parametrize("variable", ["BADRIDE_STORE", "BADRIDE_SETTINGS", "BADRIDE_PACKS"])
def test_so_it_is_in_the_environment(variable: str, tmp_path: Path) -> None:
    environment = {"HOME": str(tmp_path), variable: NOBODY}
    for command in (["cases", "list"], ["bike", "list"]):
        shown = CliRunner().invoke(main, command, env=environment)
        assert shown.exit_code == 2, shown.output
        assert "no home folder of that name" in shown.output


@pytest.mark.parametrize("name", ["settings", "self-check", "help", "examples"])
def test_what_must_work_then_says_it_too_or_works(name: str, tmp_path: Path) -> None:
    environment = {"HOME": str(tmp_path), "BADRIDE_SETTINGS": NOBODY, "BADRIDE_STORE": NOBODY}
    shown = CliRunner().invoke(main, [name], env=environment)
    assert shown.exit_code in (0, 1, 2), shown.exception
