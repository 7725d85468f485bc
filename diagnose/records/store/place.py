"""Where the store is, and what killed programs left there. SQLAlchemy, slow, is not imported."""

from __future__ import annotations

import contextlib
import os
import re
import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from rules.given_paths import given_path
from rules.problems import BadInput

ENVIRONMENT = "BADRIDE_STORE"
POSTGRESQL = "postgresql+psycopg://"
UNREADY = ".badride-unready-"
"""How the name of a file begins until it is whole; the number of its process and `-` follow."""
_SQLITE = "sqlite:///"
_PASSWORD = re.compile(r"(://[^:/@]*):[^@]*@")


@dataclass(frozen=True, slots=True)
class Place:
    """A SQLAlchemy URL; `path` is the file where it is one.

    `alias` is told instead of either to people who are not to know where the store is.
    """

    url: str
    path: Path | None = None
    alias: str = ""

    def __str__(self) -> str:
        """For people: the alias, the file, or the URL without its password."""
        if self.alias:
            return self.alias
        return str(self.path) if self.path is not None else _PASSWORD.sub(r"\1:***@", self.url)


MEMORY = Place("memory")
"""No place: such a store is gone when the process ends."""


def find_place(given: str | None, environment: Mapping[str, str]) -> Place:
    """The store asked for, else that of the environment, else the file in the user's data folder.

    A plain path stands for a SQLite file. Raises `BadInput` for a URL that names no database.
    """
    text = given or environment.get(ENVIRONMENT) or ""
    if not text:
        import platformdirs  # noqa: PLC0415  # only for the default place

        folder = Path(platformdirs.user_data_dir("badride", appauthor=False))
        return at_path(folder / "store.sqlite")
    if "://" not in text:
        return at_path(given_path(text))
    if text.startswith("sqlite:"):
        if not text.startswith(_SQLITE) or text == _SQLITE:
            raise BadInput(f"{text!r} names no file; write sqlite:///folder/store.sqlite")
        return at_path(given_path(text.removeprefix(_SQLITE)))
    for short in ("postgres://", "postgresql://"):
        if text.startswith(short):
            return Place(POSTGRESQL + text.removeprefix(short))
    return Place(text)


def at_path(path: Path) -> Place:
    """The place of a SQLite file."""
    return Place(f"{_SQLITE}{path}", path)


def clear_leftovers(folder: Path) -> None:
    """Remove what programs left unfinished in `folder` when they were killed; it
    holds what the store holds. What cannot be removed is left."""
    for left in folder.glob(f"{UNREADY}*"):
        owner = left.name.removeprefix(UNREADY).partition("-")[0]
        if not owner.isdecimal() or _runs(int(owner)):
            continue
        if left.is_dir() and not left.is_symlink():
            shutil.rmtree(left, ignore_errors=True)
        else:
            with contextlib.suppress(OSError):
                left.unlink()


def _runs(process: int) -> bool:
    """Whether there is such a process; where that cannot be asked, an open file stays anyway."""
    if os.name != "posix":
        return process == os.getpid()
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:  # somebody else's
        return True
    return True
