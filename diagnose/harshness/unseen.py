"""Which causes of a harsh feel the model can see, and which it cannot, from `seen.yaml`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from diagnose.harshness.values import End
from rules.loading.pack_files import HARSHNESS_MODEL, OFFROAD
from rules.yaml_source import read_yaml_file

__all__ = ["Unseen", "seen_readings", "unseen"]


@dataclass(frozen=True, slots=True)
class Unseen:
    """Causes that no reading of the model shows.

    `end`: where.
    `causes`: their names in the pack.
    `what`: they, in shop words.
    `why`: why the model does not see them.
    """

    end: End
    causes: tuple[str, ...]
    what: str
    why: str


@cache
def unseen() -> tuple[Unseen, ...]:
    """What the model cannot see. Raises `FileProblems` where the file cannot be read."""
    return tuple(
        Unseen(End(item["end"]), tuple(item["causes"]), item["what"], item["why"])
        for item in _data()["unseen"]
    )


def seen_readings() -> Mapping[str, Mapping[str, str]]:
    """Readings that show each cause that the model can see. Raises `FileProblems`."""
    readings: Mapping[str, Mapping[str, str]] = _data()["seen"]
    return readings


@cache
def _data() -> Mapping[str, Any]:
    data: Mapping[str, Any] = read_yaml_file(OFFROAD / HARSHNESS_MODEL / "seen.yaml").data
    return data
