"""hatchling, after a look at what is missing, before pip has fetched anything else.

One of the libraries is built from source. Without a compiler or Python's headers that fails after
minutes, in many lines that name neither.
"""

from __future__ import annotations

import os
import shlex
import shutil
import sysconfig
from collections.abc import Callable
from pathlib import Path
from typing import Any

from hatchling import build as hatchling
from hatchling.build import *  # noqa: F403  # it offers pip fewer than others

UNCHECKED = "BADRIDE_BUILD_UNCHECKED"


def missing() -> list[str]:
    """What durable-rules needs to be built and is not here."""
    found = []
    compiler = shlex.split(os.environ.get("CC") or sysconfig.get_config_var("CC") or "cc")[0]
    if not any(shutil.which(name) for name in (compiler, "cc", "gcc", "clang")):
        found.append(f"a C compiler ({compiler})")
    header = Path(sysconfig.get_path("include")) / "Python.h"
    if not header.is_file():
        found.append(f"Python's headers ({header})")
    return found


def _after_a_look(needed: Callable[..., list[str]]) -> Callable[..., list[str]]:
    def look(settings: dict[str, Any] | None = None) -> list[str]:
        lacking = missing()
        if lacking and not os.environ.get(UNCHECKED):
            raise SystemExit(
                f"\nbadride needs {' and '.join(lacking)}: durable-rules is built from source.\n"
                "  Debian, Ubuntu: apt-get install gcc python3-dev\n"
                "  Fedora:         dnf install gcc python3-devel\n"
                "  macOS:          xcode-select --install\n"
                f"With a built durable-rules at hand, set {UNCHECKED}=1 and go on.\n"
            )
        return needed(settings)

    return look


get_requires_for_build_wheel = _after_a_look(hatchling.get_requires_for_build_wheel)
get_requires_for_build_editable = _after_a_look(hatchling.get_requires_for_build_editable)
