"""The table of units: kinds of quantity, printed symbols, spellings and factors, from units.yaml.

The file is read when the first unit is looked up.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

__all__ = ["Unit", "unit_key", "unit_spellings"]

_FILE = Path(__file__).with_name("units.yaml")


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit people write.

    `printed` is its symbol, such as `psi`, empty for a plain number; `kind` what it measures, such
    as `pressure`; `si` the printed symbol of the SI unit of its kind, its own where the kind is a
    plain count. A value in it, plus `zero` (273.15 for °C), times `factor` is the value in `si`.
    """

    printed: str
    kind: str
    si: str
    factor: float
    zero: float


@functools.lru_cache(maxsize=1024)
def unit_key(text: str) -> str:
    """A unit as written, in the form of the keys of `unit_spellings`."""
    return text.strip().lower().replace(" ", "").replace("⋅", "·").replace("*", "·")


@functools.cache
def unit_spellings() -> Mapping[str, Unit]:
    """Every unit by every spelling of it, in the order of the file."""
    from rules.yaml_source import read_yaml_file  # noqa: PLC0415  # most starts need no units

    found: dict[str, Unit] = {}
    for kind, entry in read_yaml_file(_FILE).data.items():
        for printed, item in entry["units"].items():
            unit = Unit(
                printed=printed,
                kind=kind,
                si=entry.get("si", printed),
                factor=float(item["factor"]),
                zero=float(item.get("zero", 0.0)),
            )
            for spelling in (unit_key(printed), *item.get("spelt", ())):
                assert spelling not in found, f"{spelling!r} stands twice in {_FILE.name}"
                found[spelling] = unit
    return found
