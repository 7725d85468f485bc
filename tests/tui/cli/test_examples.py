"""Help: an example for every command that really can be typed, and what else is documented."""

from __future__ import annotations

import re
import shlex
import subprocess
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from tests import places
from tui.cli.examples import TOPICS, every_command, examples, topic_text
from tui.cli.main import main

SOURCE = places.ROOT
COMMANDS = {
    path: command
    for path, command in every_command(main)
    if not isinstance(command, click.Group) and not path.startswith("calc ")
}

ALONE = {
    path
    for path, command in every_command(main)
    if isinstance(command, click.Group) and command.invoke_without_command
}
"""Groups that do something where no command follows."""


def run(*arguments: str) -> str:
    result = CliRunner().invoke(main, arguments)
    assert result.exit_code == 0, result.output
    return result.stdout


def test_every_command_has_an_example_and_every_example_its_command() -> None:
    assert set(COMMANDS) - set(examples()) == set()
    assert set(examples()) - set(COMMANDS) - ALONE == set()


@pytest.mark.parametrize("path", sorted(examples()))
def test_an_example_can_be_typed_as_it_stands(path: str) -> None:
    for line, what in examples()[path]:
        assert what
        words = shlex.split(re.split(r" [|>]", line)[0])
        assert words[0] == "badride"
        given, command = words[1:], main
        context = click.Context(main)
        if path:
            for name in path.split():
                assert given.pop(0) == name
                assert isinstance(command, click.Group)
                found = command.get_command(context, name)
                assert found is not None
                context, command = click.Context(found, parent=context, info_name=name), found  # type: ignore[assignment]
            command.make_context(path, given, parent=context.parent)  # raises what click would say


@pytest.mark.parametrize("path", sorted(COMMANDS))
def test_help_shows_the_example_and_fits(path: str) -> None:
    text = run("help", *path.split())
    assert f"  {examples()[path][0][0]}" in text
    assert text == run(*path.split(), "--help")


def test_every_variable_of_the_environment_that_is_read_is_documented() -> None:
    read = set()
    for package in ("rules", "diagnose", "tui"):
        for file in (SOURCE / package).rglob("*.py"):
            read |= set(re.findall(r"\bBADRIDE_[A-Z_]+", file.read_text(encoding="utf-8")))
    assert {"BADRIDE_STORE", "BADRIDE_PACKS", "BADRIDE_LOG"} <= read
    text = topic_text("environment")
    assert {name for name in read if name not in text} == set()


def test_topics_are_told_with_the_places_of_this_machine(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("BADRIDE_STORE", str(tmp_path / "mine.sqlite"))
    assert str(tmp_path / "mine.sqlite") in run("help", "files")
    for topic in TOPICS:
        assert len(run("help", topic).splitlines()) > 5
        assert topic in run("help")
    result = CliRunner().invoke(main, ["help", "nope"])
    assert result.exit_code == 2
    assert "topics are environment, exit, files, licences" in result.stderr


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_is_what_the_shell_accepts(shell: str) -> None:
    script = run("completion", shell)
    assert "_BADRIDE_COMPLETE" in script
    if shell == "bash":
        subprocess.run(["bash", "-n"], input=script, text=True, check=True)


def test_completion_knows_commands_and_options() -> None:
    def complete(line: str, at: int) -> list[str]:
        result = CliRunner().invoke(
            main, [], prog_name="badride",
            env={"_BADRIDE_COMPLETE": "bash_complete", "COMP_WORDS": line, "COMP_CWORD": str(at)},
        )  # fmt: skip
        return re.findall(r"plain,(\S+)", result.stdout)

    assert complete("badride se", 1) == ["self-check", "serve", "settings"]
    assert "--host" in complete("badride serve --", 2)
    assert complete("badride settings-", 1) == []
