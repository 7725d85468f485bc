"""Paths as options and arguments of commands, read as everywhere else."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from rules.given_paths import given_path
from rules.problems import BadInput


class PersonPath(click.Path):
    """A path on the command line or in a setting."""

    def __init__(self, **options: Any) -> None:
        super().__init__(path_type=Path, **options)

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The path. Ends the command with a message where it can be none."""
        try:
            return super().convert(given_path(str(value)), param, ctx)
        except BadInput as error:
            self.fail(str(error), param, ctx)
