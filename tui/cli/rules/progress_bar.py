"""A bar on standard error for work whose length is known once it begins."""

from __future__ import annotations

import contextlib
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import click

_EVERY = 3.0
"""Seconds between two lines, where standard error is no terminal."""


@dataclass
class ProgressBar:
    """A bar that appears with `start` and moves with `step`; where standard error is no terminal, a
    line now and then."""

    label: str
    _bar: Any = None
    _length: int = 0
    _done: int = 0
    _told: float = 0.0

    def start(self, length: int) -> None:
        """Show an empty bar of `length` steps; a bar that is still shown is finished first."""
        self.finish()
        self._length, self._done, self._told = length, 0, time.monotonic()
        self._bar = click.progressbar(length=length, label=self.label, file=sys.stderr)
        self._bar.__enter__()

    def step(self) -> None:
        """Move the bar by one step."""
        self._bar.update(1)
        self._done += 1
        late = time.monotonic() - self._told >= _EVERY or self._done == self._length
        if late and not sys.stderr.isatty():
            self._told = time.monotonic()
            share = self._done / max(self._length, 1)
            click.echo(f"{self.label}: {self._done} of {self._length} ({share:.0%})", err=True)

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
