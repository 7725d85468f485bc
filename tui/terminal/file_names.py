"""File names offered for what is written."""

from __future__ import annotations


def file_stem(name: str) -> str:
    """A name of a bike or a person as a part of a file name."""
    return "".join(c if c.isalnum() else "-" for c in name.casefold())
