"""The default figures of the pack that ships, read without loading all of it, which is slow."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from rules.loading.pack_files import OFFROAD
from rules.loading.templates import expand
from rules.yaml_source import read_yaml_file

__all__ = ["FULL_SIZE", "pack_defaults"]

FULL_SIZE = "full-size"
"""The class of bike that calculators and the harshness model assume."""


@cache
def pack_defaults(bike_class: str = FULL_SIZE) -> Mapping[str, str]:
    """The default of every figure by its name in `specs:`, such as `12.5 psi`, for `bike_class`."""
    document = read_yaml_file(OFFROAD / "machine.yaml")
    entries = (
        entry
        for key, body in document.data["specs"].items()
        for entry in expand(document, ("specs",), key, body)
    )
    defaults = {name: spec.get("default") for name, spec in entries}
    return {
        name: default[bike_class] if isinstance(default, dict) else default
        for name, default in defaults.items()
        if default is not None
    }
