"""The guide and the README: every text can be read, and every command in them can be typed."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from tui.cli.main import main
from tui.cli.program.guide import GUIDE, TOPICS, text_of

README = Path("README.md")
BLOCK = re.compile(r"```sh\n(.*?)```", re.DOTALL)
INLINE = re.compile(r"`(badride [^`]+)`")


def commands_in(text: str) -> list[str]:
    """Whole lines of sh blocks that call the program."""
    rows = [row for block in BLOCK.findall(text) for row in block.splitlines()]
    return [row for row in rows if row.startswith("badride ")]


SHOWN = [
    (page.name, row)
    for page in (README, *sorted(GUIDE.glob("*.md")))
    for row in commands_in(page.read_text(encoding="utf-8"))
]


@pytest.mark.parametrize(("page", "row"), SHOWN, ids=lambda value: str(value)[:60])
def test_a_command_shown_can_be_typed(page: str, row: str) -> None:
    """Its options and arguments are those the program takes; nothing is run."""
    words = shlex.split(row, comments=True)[1:]
    command: click.Command = main
    context = click.Context(main, info_name="badride")
    while isinstance(command, click.Group) and words:
        found = command.get_command(context, words[0])
        assert found is not None, f"{page}: no command {words[0]!r} in {row!r}"
        command, words = found, words[1:]
        context = click.Context(command, parent=context, info_name=command.name)
    if not isinstance(command, click.Group):
        command.make_context(command.name, words, parent=context.parent)


def test_commands_named_in_a_sentence_exist() -> None:
    for page in (README, *sorted(GUIDE.glob("*.md"))):
        for named in INLINE.findall(page.read_text(encoding="utf-8")):
            command: click.Command = main
            for word in named.split()[1:]:
                if not isinstance(command, click.Group) or not re.fullmatch("[a-z][a-z-]*", word):
                    break
                found = command.get_command(click.Context(command), word)
                assert found is not None, f"{page.name}: {named}"
                command = found


def test_every_text_can_be_read() -> None:
    assert {page.stem for page in GUIDE.glob("*.md")} == set(TOPICS)
    listed = CliRunner().invoke(main, ["guide"])
    for number, topic in enumerate(TOPICS, 1):
        assert f"{number}  {topic}" in listed.output
        assert (
            CliRunner().invoke(main, ["guide", str(number)]).output.strip()
            == text_of(topic).strip()
        )


def test_a_topic_there_is_not_is_said() -> None:
    done = CliRunner().invoke(main, ["guide", "bikes"])
    assert done.exit_code == 2
    assert "'bikes' is not a topic; one of: after-a-bad-ride" in done.output
