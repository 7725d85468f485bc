"""Writing a file whole or not at all."""

from __future__ import annotations

import contextlib
import os
import stat
import tempfile
from pathlib import Path

from diagnose.records.store.place import UNREADY, clear_leftovers
from diagnose.records.store.store_problems import UnwritableStore


def write_text(path: Path, text: str) -> None:
    """Write UTF-8 text; a file of that name is replaced. Raises `UnwritableStore`."""
    write_bytes(path, text.encode("utf-8"))


def write_bytes(path: Path, content: bytes) -> None:
    """Write bytes; a file of that name is replaced only once all is on disk.

    What a link points at is written, not the link. A device or a pipe is written to as it is.
    Raises `UnwritableStore`.
    """
    unready = None
    try:
        if path.exists() and not path.is_file() and not path.is_dir():
            path.write_bytes(content)
            return
        path = path.resolve()
        clear_leftovers(path.parent)
        with tempfile.NamedTemporaryFile(
            dir=path.parent, prefix=f"{UNREADY}{os.getpid()}-", delete=False
        ) as handle:
            unready = Path(handle.name)
            handle.write(content)
            handle.flush()
            os.fsync(handle.fileno())
        unready.chmod(_mode_of(path))
        unready.replace(path)
    except OSError as error:
        if unready is not None:
            with contextlib.suppress(OSError):
                unready.unlink()
        raise UnwritableStore(f"{path}: {error.strerror or error}; nothing was written") from error


def _mode_of(path: Path) -> int:
    """The permissions of the file at `path`; for a new one, those that the umask leaves."""
    if path.exists():
        return stat.S_IMODE(path.stat().st_mode)
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
