"""The paths that people write: in a box, on the command line, in settings and the environment."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from rules.problems import BadInput

_SHOWN = 80


def given_path(text: str) -> Path:
    """The path that a person wrote; `~` and `~name` stand for home folders.

    Raises `BadInput` where there is no such home folder, or where no file can be called that.
    """
    shown = text if len(text) <= _SHOWN else text[:_SHOWN] + "..."
    try:
        path = Path(text)
        if text.startswith("~"):
            path = path.expanduser()
        with suppress(FileNotFoundError, NotADirectoryError):
            path.stat()
    except RuntimeError as error:  # how pathlib says that nobody of that name has a home
        raise BadInput(
            f"{shown!r}: there is no home folder of that name; write ./{shown} for a file whose "
            "name begins so"
        ) from error
    except ValueError as error:
        raise BadInput(f"{shown!r}: a path cannot hold that character") from error
    except OSError as error:  # too long a name, links in a circle, a folder not to be entered
        raise BadInput(f"{shown}: {error.strerror or error}") from error
    return path
