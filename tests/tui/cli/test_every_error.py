"""Whatever a command finds wrong with what it was given ends as a message."""

from __future__ import annotations

import importlib
import pickle
import pkgutil
from collections.abc import Callable, Iterator

import click
import pytest
from click.testing import CliRunner

import diagnose
import rules
import tui
from diagnose.diagnosis import MovedOn
from diagnose.inference.terms import TooManyTerms
from diagnose.records.cases.filling_in import WrongDetail
from rules.problems import BadInput, FileProblems, Problem
from tui.cli.main import main


def every_error() -> list[type[BadInput]]:
    """`BadInput` and all that is derived from it anywhere."""
    for package in (rules, diagnose, tui):
        for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            if ".migrations" not in found.name:  # Alembic runs these
                importlib.import_module(found.name)
    kinds = [BadInput]
    for kind in kinds:
        kinds += kind.__subclasses__()
    return sorted(set(kinds), key=lambda kind: kind.__name__)


def every_command(
    group: click.Group, *path: str
) -> Iterator[tuple[tuple[str, ...], click.Command]]:
    for name, command in group.commands.items():
        if isinstance(command, click.Group):
            yield from every_command(command, *path, name)
        else:
            yield (*path, name), command


COMMANDS = dict(every_command(main))


def raising(error: BadInput) -> Callable[[click.Context], None]:
    def broken(context: click.Context) -> None:
        raise error

    return broken


def test_every_error_in_every_command_is_a_message(monkeypatch: pytest.MonkeyPatch) -> None:
    kinds = every_error()
    assert len(COMMANDS) > 50
    assert len(kinds) > 15
    # each command with one kind, each kind in some command
    for number, (path, command) in enumerate(COMMANDS.items()):
        kind = kinds[number % len(kinds)]
        error = kind.__new__(kind)
        error.args = ("what is wrong",)
        monkeypatch.setattr(command, "parse_args", lambda context, given: [])
        monkeypatch.setattr(command, "invoke", raising(error))
        shown = CliRunner().invoke(main, ["--log", "off", *path])
        assert (shown.exit_code, shown.stderr) == (2, "what is wrong\n"), (path, kind)


@pytest.mark.parametrize(
    "error",
    [
        BadInput("what is wrong"),
        FileProblems([Problem("case.yaml", 2, 1, "missing", "bike", "this key is required")]),
        MovedOn((), ()),
        TooManyTerms(),
        WrongDetail("customer", "what is wrong"),
    ],
    ids=lambda error: type(error).__name__,
)
def test_an_error_comes_from_another_process_as_it_was(error: BadInput) -> None:
    told = pickle.loads(pickle.dumps(error))  # noqa: S301
    assert (type(told), str(told), vars(told)) == (type(error), str(error), vars(error))
