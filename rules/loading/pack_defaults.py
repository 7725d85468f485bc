"""The default figures of the pack that ships, read without loading all of it, which is slow."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from rules.loading.pack_files import OFFROAD
from rules.loading.templates import expand
from rules.yaml_source import read_yaml_file

__all__ = ["FULL_SIZE", "pack_defaults", "pack_usual"]

FULL_SIZE = "full-size"
"""The class of bike that calculators and the harshness model assume."""


def pack_defaults(bike_class: str = FULL_SIZE) -> Mapping[str, str]:
    """The default of every figure by its name in `specs:`, such as `12.5 psi`, for `bike_class`."""
    return _by_spec("default", bike_class)


def pack_usual(bike_class: str = FULL_SIZE) -> Mapping[str, str]:
    """What bikes of `bike_class` are built to, by the same names, such as `8 to 19.5 psi`."""
    return _by_spec("usual", bike_class)


@cache
def _by_spec(field: str, bike_class: str) -> Mapping[str, str]:
    document = read_yaml_file(OFFROAD / "machine.yaml")
    entries = (
        entry
        for key, body in document.data["specs"].items()
        for entry in expand(document, ("specs",), key, body)
    )
    said = {name: spec.get(field) for name, spec in entries}
    return {
        name: text[bike_class] if isinstance(text, dict) else text
        for name, text in said.items()
        if text is not None
    }
