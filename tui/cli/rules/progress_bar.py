"""A bar on standard error for work whose length is known once it begins."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import click


@dataclass
class ProgressBar:
    """A bar that appears with `start` and moves with `step`."""

    label: str
    _bar: Any = None

    def start(self, length: int) -> None:
        """Show an empty bar of `length` steps; a bar that is still shown is finished first."""
        self.finish()
        self._bar = click.progressbar(length=length, label=self.label, file=sys.stderr)
        self._bar.__enter__()

    def step(self) -> None:
        """Move the bar by one step."""
        self._bar.update(1)

    def finish(self) -> None:
        """End the bar, if one is shown."""
        if self._bar is not None:
            self._bar.__exit__(None, None, None)
            self._bar = None


@contextlib.contextmanager
def progress(label: str) -> Iterator[ProgressBar]:
    """A bar for the time of a `with` block."""
    bar = ProgressBar(label)
    try:
        yield bar
    finally:
        bar.finish()
