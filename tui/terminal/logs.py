"""The log: a file in the person's state folder, with nothing about customers in it.

Warnings and errors say what happened and where in the program. The message of an exception may
hold what somebody typed, so it is written only where `BADRIDE_LOG` asks for `debug`.
"""

from __future__ import annotations

import logging
import traceback
from pathlib import Path

ENVIRONMENT = "BADRIDE_LOG"
LEVELS = {
    "off": None,
    "error": logging.ERROR,
    "warning": logging.WARNING,
    "info": logging.INFO,
    "debug": logging.DEBUG,
}
DEFAULT = "warning"
_MOST_BYTES = 1_000_000
_FORMER = 3

log = logging.getLogger("badride")


def log_path() -> Path:
    """The file, whether there is one or not."""
    import platformdirs  # noqa: PLC0415

    return Path(platformdirs.user_state_dir("badride", appauthor=False)) / "badride.log"


class _WhenNeeded(logging.Handler):
    """Makes the file with the first line; what goes wrong with the file is ignored."""

    def __init__(self, path: Path) -> None:
        super().__init__()
        self._path = path
        self._file: logging.Handler | None = None

    def emit(self, record: logging.LogRecord) -> None:
        """Write a line; a full disk or a read-only home must not stop the work."""
        try:
            if self._file is None:
                self._file = self._open()
            self._file.emit(record)
        except OSError:
            return

    def close(self) -> None:
        """Close the file where one was opened."""
        if self._file is not None:
            self._file.close()
        super().close()

    def _open(self) -> logging.Handler:
        from logging.handlers import RotatingFileHandler  # noqa: PLC0415  # most runs log nothing

        self._path.parent.mkdir(parents=True, exist_ok=True)
        file = RotatingFileHandler(
            self._path, maxBytes=_MOST_BYTES, backupCount=_FORMER, encoding="utf-8"
        )
        file.handleError = lambda record: None  # type: ignore[method-assign]
        file.setFormatter(self.formatter)
        return file


def start_log(level: str, path: Path) -> None:
    """Write the program's own log to `path` from here on, messages of `level` and above."""
    for handler in list(log.handlers):
        log.removeHandler(handler)
        handler.close()
    log.propagate = False
    least = LEVELS[level]
    if least is None:
        log.addHandler(logging.NullHandler())
        return
    handler = _WhenNeeded(path)
    handler.setFormatter(
        logging.Formatter(
            "%(asctime)s %(process)d %(levelname)s %(message)s", "%Y-%m-%dT%H:%M:%S%z"
        )
    )
    log.addHandler(handler)
    log.setLevel(least)


def broken_words(error: BaseException) -> str:
    """What a person is told when the program has broken down."""
    return (
        f"badride broke down on an error of its own ({type(error).__qualname__}).\n"
        f"What was kept is kept. {log_path()} says where it was; please pass that on.\n"
        "BADRIDE_LOG=debug shows more; so may `badride self-check`."
    )


def log_breakdown(error: BaseException) -> None:
    """Log where the program broke; the message of the error only at `debug`."""
    frames = traceback.extract_tb(error.__traceback__)
    trail = "\n".join(f"    {frame.filename}:{frame.lineno} in {frame.name}" for frame in frames)
    log.error("broke down: %s\n%s", type(error).__qualname__, trail)
    log.debug("its message was: %s", error)
