"""`settings`, `completion` and `help`."""

from __future__ import annotations

import os
from typing import Any

import click

from tui.cli.common import or_exit
from tui.cli.examples import TOPICS, show_examples, topic_text

_SHELLS = ("bash", "zsh", "fish")
_USUAL = "usual"


@click.command()
@click.argument("name", required=False)
@click.argument("value", required=False)
def settings(name: str | None, value: str | None) -> None:
    """Show what is set for good, or set NAME to VALUE; the value `usual` takes it out again.

    An option on the command line goes before what is set here, and so do BADRIDE_STORE and
    BADRIDE_PACKS. Several folders of packs are written with `:` between.
    """
    from tui.cli.settings import NAMES, Settings, keep_setting, read_settings, settings_path

    path = settings_path(os.environ)
    if name is not None and value is not None:
        given = None if value == _USUAL else value
        or_exit(lambda: keep_setting(path, name, given))
    now = or_exit(lambda: read_settings(path))
    known = or_exit(lambda: _one(NAMES, name))
    for key in known:
        field = Settings.model_fields[key]
        click.echo(f"{key:<14} {_shown(getattr(now, key)):<12} {field.description}")
    if name is None:
        click.echo(f"\nKept in {path}" + ("" if path.exists() else " (not there yet)"))


def _one(names: tuple[str, ...], name: str | None) -> tuple[str, ...]:
    from rules.problems import BadInput
    from rules.yaml_source import suggest

    if name is None:
        return names
    if name not in names:
        raise BadInput(f"{name!r} cannot be set{suggest(name, names)}; one of {', '.join(names)}")
    return (name,)


def _shown(value: Any) -> str:
    if value is None:
        return _USUAL
    if isinstance(value, bool):
        return str(value).lower()
    return ":".join(value) if isinstance(value, list) else str(value)


@click.command()
@click.argument("shell", type=click.Choice(_SHELLS))
@click.pass_context
def completion(context: click.Context, shell: str) -> None:
    """Print what makes a shell complete badride's commands and options with Tab.

    bash: add it to ~/.bashrc. zsh: to ~/.zshrc, after compinit. fish: save it as
    ~/.config/fish/completions/badride.fish.
    """
    from click.shell_completion import get_completion_class

    made = get_completion_class(shell)
    assert made is not None
    click.echo(made(context.find_root().command, {}, "badride", "_BADRIDE_COMPLETE").source())


@click.command("help")
@click.argument("what", nargs=-1)
@click.pass_context
def help_(context: click.Context, what: tuple[str, ...]) -> None:
    """Help on a command (`badride help bike add`) or a topic: environment, exit, files,
    licences."""
    from tui.cli.settings import option_defaults

    root = context.find_root()
    assert isinstance(root.command, click.Group)
    show_examples(root.command)
    if len(what) == 1 and what[0] in TOPICS:
        given = option_defaults(root.obj, os.environ)
        click.echo(or_exit(lambda: topic_text(what[0], given.get("store"))).rstrip())
        return
    at: click.Context = root
    for name in what:
        found = at.command.get_command(at, name) if isinstance(at.command, click.Group) else None
        if found is None:
            raise click.UsageError(
                f"there is no command or topic {' '.join(what)!r}; topics are {', '.join(TOPICS)}"
            )
        at = click.Context(found, info_name=name, parent=at)
    click.echo(at.get_help())
    if not what:
        click.echo(f"\nTopics, with `badride help TOPIC`: {', '.join(TOPICS)}.")
