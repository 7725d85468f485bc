"""The optional parts of the program, and what to install for each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from importlib.util import find_spec

from rules.problems import BadInput


@dataclass(frozen=True, slots=True)
class Extra:
    """An optional part: the beginning of a sentence that says what needs it, and its modules."""

    need: str
    modules: tuple[str, ...]


EXTRAS: Mapping[str, Extra] = {
    "serve": Extra("Serving the screens needs", ("aiohttp", "segno", "textual_serve")),
    "postgres": Extra("A store in PostgreSQL needs", ("psycopg",)),
    "pdf": Extra("PDF cards need", ("fpdf", "pymupdf_fonts")),
}
"""The extras by name, as in `pip install 'badride[NAME]'`."""


def installed(name: str) -> bool:
    """Whether every module of an extra can be imported. Imports none of them."""
    return all(find_spec(module) is not None for module in EXTRAS[name].modules)


def require(name: str) -> None:
    """Raises `BadInput` saying what to install unless the extra is installed."""
    if not installed(name):
        raise BadInput(f"{EXTRAS[name].need} more packages: pip install 'badride[{name}]'")
