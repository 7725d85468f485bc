"""An entry that was not finished, put by in its pack and gone on with later."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from diagnose.authoring.adding.adding import Adding
from diagnose.records.file_writing import write_text
from rules.problems import BadInput
from rules.rulebase import RuleBase

_FILE = ".unfinished.json"


@dataclass(frozen=True, slots=True)
class BegunEntry:
    """The kind of entry, the lines said, and what stood in the box when it was left."""

    kind: str
    lines: tuple[str, ...]
    draft: str = ""

    def adding(self, rules: RuleBase, pack: str) -> Adding:
        """The entry as far as its lines still answer what is asked now. Raises `KeyError` for a
        kind that there is no more."""
        adding = Adding(rules, pack, self.kind)
        for line in self.lines:
            try:
                adding.say(line)
            except BadInput:
                break
        return adding


def begun_entry(folder: Path) -> BegunEntry | None:
    """What was put by in a pack; None where there is nothing, or it cannot be read."""
    try:
        kept = json.loads((folder / _FILE).read_text(encoding="utf-8"))
        lines = tuple(str(line) for line in kept["lines"])
        return BegunEntry(str(kept["kind"]), lines, str(kept.get("draft", "")))
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None


def put_by(folder: Path, entry: BegunEntry) -> None:
    """Keep an entry for later in place of the one before. Raises `UnwritableStore`."""
    kept = {"kind": entry.kind, "lines": entry.lines, "draft": entry.draft}
    write_text(folder / _FILE, json.dumps(kept, ensure_ascii=False))


def forget(folder: Path) -> None:
    """Nothing is unfinished any more."""
    (folder / _FILE).unlink(missing_ok=True)
