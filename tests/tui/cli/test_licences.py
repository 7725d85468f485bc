"""What is installed with the program, under which licences, and at which versions it was tested."""

from __future__ import annotations

import importlib.metadata
import re
import tomllib

from click.testing import CliRunner
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.places import ROOT
from tui.cli.licences import libraries
from tui.cli.main import main

DECLARED = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
LOCKED = re.findall(
    r"^([\w.-]+)==([\w.]+)(.*(?:\n +--hash=.*)*)",
    (ROOT / ".ci" / "tested.txt").read_text(encoding="utf-8"),
    re.MULTILINE,
)


def needed_here(name: str, extra: str, found: set[tuple[str, str]]) -> None:
    """What `name` needs on this computer, as the library that installers use reads it."""
    if (name, extra) in found:
        return
    found.add((name, extra))
    for line in importlib.metadata.requires(name) or ():
        wanted = Requirement(line)
        if wanted.marker is None or wanted.marker.evaluate({"extra": extra}):
            for part in ("", *wanted.extras):
                needed_here(canonicalize_name(wanted.name), part, found)


def test_every_library_that_is_needed_is_listed_with_its_licence() -> None:
    needed: set[tuple[str, str]] = set()
    for extra in ("", "serve", "postgres", "pdf"):
        needed_here("badride", extra, needed)
    listed = libraries()
    assert listed[0].name == "badride"
    names = [library.name for library in listed[1:]]
    assert names == sorted(names)
    missed = {name for name, _ in needed} - {library.name for library in listed}
    assert missed == set()
    assert {"pytest", "ruff", "hypothesis"}.isdisjoint(names)
    for library in listed:
        assert library.version == importlib.metadata.version(library.name)
        assert library.licence != "not stated", library
        assert len(library.licence) < 80, library


def test_the_licences_are_told_line_by_line() -> None:
    told = CliRunner().invoke(main, ["help", "licences"]).stdout
    for library in libraries():
        line = rf"^  {re.escape(library.name)} +{re.escape(library.version)} +\S"
        assert re.search(line, told, re.MULTILINE), library


def test_what_is_declared_is_locked_at_a_version_that_is_allowed() -> None:
    locked = {name: version for name, version, _ in LOCKED}
    extras = DECLARED["optional-dependencies"].values()
    declared = [*DECLARED["dependencies"], *(line for extra in extras for line in extra)]
    for wanted in map(Requirement, declared):
        if wanted.name != "badride":
            assert wanted.specifier.contains(locked[canonicalize_name(wanted.name)]), wanted


def test_what_the_tested_libraries_need_is_locked_too_each_with_its_digests() -> None:
    locked = {name for name, _, _ in LOCKED}
    assert {library.name for library in libraries()[1:]} <= locked
    assert all("--hash=sha256:" in rest for _, _, rest in LOCKED)
