"""Writing a file whole or not at all."""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path

from diagnose.records.problems import UnwritableStore


def write_text(path: Path, text: str) -> None:
    """Write UTF-8 text; a file of that name is replaced. Raises `UnwritableStore`."""
    write_bytes(path, text.encode("utf-8"))


def write_bytes(path: Path, content: bytes) -> None:
    """Write bytes; a file of that name is replaced only once all is on disk."""
    unready = None
    try:
        with tempfile.NamedTemporaryFile(
            dir=path.parent, prefix=f".{path.name}.", delete=False
        ) as handle:
            unready = Path(handle.name)
            handle.write(content)
            handle.flush()
            os.fsync(handle.fileno())
        unready.chmod(0o644)
        unready.replace(path)
    except OSError as error:
        if unready is not None:
            with contextlib.suppress(OSError):
                unready.unlink()
        raise UnwritableStore(f"{path}: {error.strerror or error}; nothing was written") from error
