"""What is wrong with a file, in the program's own words: what to write instead of what a library
calls it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import yaml

_ID_PATTERN = "^[a-z0-9]"
_PHRASE = "this is no phrase; `badride guide what-a-pack-may-say` says how one is written"


def yaml_trouble(said: str) -> str:
    """What to do about what the YAML reader said."""
    table = _words()["yaml"]
    return next(
        (text for start, text in table.items() if start and said.startswith(start)), table[""]
    )


def shape_trouble(kind: str, said: str, figures: Mapping[str, Any], given: Any) -> str:
    """What to write, for one of the validator's kinds of error; `said` is what it says itself, kept
    where a model of ours worded it, and `given` what stands there."""
    if kind in ("value_error", "assertion_error"):
        return said.removeprefix("Value error, ").removeprefix("Assertion failed, ")
    if kind == "string_pattern_mismatch" and not str(figures.get("pattern")).startswith(
        _ID_PATTERN
    ):
        return _PHRASE
    if kind == "string_too_short" and figures.get("min_length") == 1:
        return "write something here"
    table = _words()["shape"]
    return table.get(kind, table[""]).format(**_plain(figures), given=_kind_of(given))


def _plain(figures: Mapping[str, Any]) -> dict[str, Any]:
    return {
        name: f"{value:g}"
        if isinstance(value, float)
        else str(value).replace("True", "true").replace("False", "false")
        for name, value in figures.items()
    }


def _kind_of(value: Any) -> str:
    """What stands somewhere, without repeating it: a file that is no file of ours may hold
    secrets."""
    kinds: tuple[tuple[type, str], ...] = (
        (bool, "true or false"),
        (int, "a number"),
        (float, "a number"),
        (str, "a text"),
        (list, "a list"),
        (tuple, "a list"),
        (dict, "keys with values"),
    )
    return next((text for kind, text in kinds if isinstance(value, kind)), "nothing")


@cache
def _words() -> dict[str, dict[str, str]]:
    found = yaml.safe_load(Path(__file__).with_suffix(".yaml").read_text(encoding="utf-8"))
    return {name: dict(table) for name, table in found.items()}
