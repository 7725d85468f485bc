"""Help beyond a command's own: examples for each, and texts on exit statuses and the like."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import click

HERE = Path(__file__).parent / "help"
TOPICS = ("environment", "exit", "files", "licences")


def examples() -> dict[str, list[tuple[str, str]]]:
    """Command path to (what is typed, what it is for)."""
    from rules.yaml_source import read_yaml_file  # only help needs it

    data = read_yaml_file(HERE / "examples.yaml").data
    return {path: [(line, what) for line, what in rows] for path, rows in data.items()}


def every_command(command: click.Command, path: str = "") -> Iterator[tuple[str, click.Command]]:
    """`command` and all below it, each with its path."""
    yield path, command
    if isinstance(command, click.Group):
        for name, below in command.commands.items():
            yield from every_command(below, f"{path} {name}".strip())


def show_examples(root: click.Group) -> None:
    """Put the examples under the help of every command that has some."""
    known = examples()
    for path, command in every_command(root):
        rows = known.get(path, ())
        lines = "\n".join(f"  {line}\n      {what}" for line, what in rows)
        if lines and "Examples:" not in (command.epilog or ""):
            command.epilog = "\n\n".join(filter(None, (command.epilog, f"\b\nExamples:\n{lines}")))


def topic_text(topic: str, store: str | None = None) -> str:
    """The text of a topic, with the files of this computer filled in; `store` is the one set."""
    text = (HERE / f"{topic}.md").read_text(encoding="utf-8")
    if topic == "licences":
        from tui.cli.licences import libraries

        rows = (f"  {one.name:<20} {one.version:<12} {one.licence}" for one in libraries())
        return text + "\n" + "\n".join(rows)
    if topic != "files":
        return text
    from diagnose.records.store.place import find_place
    from tui.cli.settings import settings_path
    from tui.terminal.logs import log_path

    places = {
        "settings": settings_path(os.environ),
        "store": find_place(store, os.environ),
        "log": log_path(),
    }
    return text.format(**places)
