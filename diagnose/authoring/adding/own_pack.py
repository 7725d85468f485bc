"""The shop's own pack, which is made where it is not there yet."""

from __future__ import annotations

from pathlib import Path

from rules.given_paths import given_path
from rules.loading.pack_files import OFFROAD
from rules.writing.new_pack import new_pack, write_pack


def own_pack(text: str) -> Path:
    """The folder that a person names, with a new pack in it where it is empty or not there. Raises
    `BadInput`."""
    folder = given_path(text).absolute()
    return folder if (folder / "pack.yaml").exists() else made_pack(folder)


def made_pack(folder: Path) -> Path:
    """Make a pack on the one that ships. Raises `BadInput`."""
    write_pack(folder, new_pack(folder, OFFROAD))
    return folder
