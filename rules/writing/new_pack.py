"""A new pack for a shop: the starter files of the pack it builds on, under its own name."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from pathlib import Path

from rules.loading.pack_draft import is_id
from rules.loading.pack_files import STARTER
from rules.problems import BadInput
from rules.writing.json_schema import pack_schema

SCHEMA_FILE = "pack.schema.json"
SCHEMA_COMMENT = f"# yaml-language-server: $schema={SCHEMA_FILE}\n"


def new_pack(folder: Path, below: Path) -> Mapping[str, str]:
    """The files of a new pack in `folder` that builds on the pack in `below`: name -> text.

    Raises `BadInput` where the folder's name makes no id, or the pack below has no starter.
    """
    name = re.sub(r"[^a-z0-9]+", "-", folder.resolve().name.lower()).strip("-")
    if not is_id(name):
        raise BadInput(f"{folder}: name the folder with letters a to z and digits, 60 at most")
    title = name.replace("-", " ").capitalize()
    home = below / STARTER
    starter = sorted(path for path in home.rglob("*.yaml*") if path.is_file())
    if not starter:
        raise BadInput(f"{below} has no {STARTER} files to begin with")
    files = {
        str(path.relative_to(home)): (SCHEMA_COMMENT if path.parent == home else "")
        + path.read_text(encoding="utf-8").replace("@ID@", name).replace("@TITLE@", title)
        for path in starter
    }
    schema = json.dumps(pack_schema(), indent=2, ensure_ascii=False) + "\n"
    return {**files, SCHEMA_FILE: schema}


def write_pack(folder: Path, files: Mapping[str, str]) -> None:
    """Write the files into a folder that is new or empty. Raises `BadInput`."""
    try:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise BadInput(f"{folder} is there already; nothing was written. Give a new folder")
        folder.mkdir(parents=True, exist_ok=True)
        for name, text in files.items():
            (folder / name).parent.mkdir(exist_ok=True)
            with (folder / name).open("x", encoding="utf-8") as file:
                file.write(text)
    except OSError as error:
        raise BadInput(f"{folder}: {error.strerror or error}") from error
