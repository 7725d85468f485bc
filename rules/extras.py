"""The optional parts of the program, and what to install for each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from importlib.util import find_spec

from rules.problems import BadInput


@dataclass(frozen=True, slots=True)
class Extra:
    """What needs an extra, as the beginning of a sentence, and the modules that come with it."""

    need: str
    modules: tuple[str, ...]


EXTRAS: Mapping[str, Extra] = {
    "serve": Extra("Serving the screens needs", ("aiohttp", "segno", "textual_serve")),
    "postgres": Extra("A store in PostgreSQL needs", ("psycopg",)),
    "pdf": Extra("PDF cards need", ("fpdf", "pymupdf_fonts")),
}
"""By name, as in `pip install 'badride[NAME]'`."""


def installed(name: str) -> bool:
    """Whether everything that comes with an extra is here. Imports none of it."""
    return all(find_spec(module) is not None for module in EXTRAS[name].modules)


def require(name: str) -> None:
    """Make sure that an extra is installed. Raises `BadInput` that says what to install."""
    if not installed(name):
        raise BadInput(f"{EXTRAS[name].need} more packages: pip install 'badride[{name}]'")
