"""Where the project is, and the packs and stores that tests work with."""

from __future__ import annotations

from pathlib import Path

ROOT = Path(__file__).parents[1]
PACKS = ROOT / "tests" / "packs"
MOWER = PACKS / "mower"
STORES = ROOT / "tests/diagnose/records/store/stores"


def change_pack(folder: Path, *edits: tuple[str, str]) -> Path:
    """The pack of one file in `folder` with pieces of its text replaced, each of which is there."""
    file = folder / "pack.yaml"
    text = file.read_text(encoding="utf-8")
    for old, new in edits:
        assert old in text, f"{old!r} is not in the pack"
        text = text.replace(old, new, 1)
    file.write_text(text, encoding="utf-8")
    return folder
