"""File names offered for what is written."""

from __future__ import annotations


def file_stem(name: str) -> str:
    """The name of a bike or a person as part of a file name: letters and digits, else `-`."""
    return "".join(c if c.isalnum() else "-" for c in name.casefold())
