"""The three standard streams, made fit for use even where the program was started without."""

from __future__ import annotations

import errno
import io
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress

import click


def prepare_streams() -> None:
    """Open the null device for a closed standard stream; what a terminal cannot show becomes `?`.

    Otherwise the next file opened, such as the store, would get the number of the closed stream,
    and with it everything printed.
    """
    while (number := os.open(os.devnull, os.O_RDWR)) <= 2:
        pass
    os.close(number)
    for name, number, mode in (("stdin", 0, "r"), ("stdout", 1, "w"), ("stderr", 2, "w")):
        if getattr(sys, name) is None:
            stream = open(number, mode, encoding="utf-8", closefd=False)  # noqa: SIM115
            setattr(sys, name, stream)
            setattr(sys, f"__{name}__", stream)
    for stream in (sys.stdin, sys.stdout):
        if isinstance(stream, io.TextIOWrapper) and stream.errors in ("strict", "surrogateescape"):
            stream.reconfigure(errors="replace")


@contextmanager
def unwritable_is_said(status: int) -> Iterator[None]:
    """End with a message and `status` where standard output cannot be written (a full disk).

    A reader that has seen enough (`| head`) gets no message.
    """
    try:
        try:
            yield
        finally:
            sys.stdout.flush()
    except OSError as error:
        # so that Python does not try again at the end
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115, PTH123
        if error.errno == errno.EPIPE:
            sys.exit(1)
        with suppress(OSError):
            click.echo(f"{error.filename or 'standard output'}: {error.strerror}", err=True)
        sys.exit(status)
