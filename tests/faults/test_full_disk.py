"""A disk that is full or broken at any one of the calls that change it, and from that call on.

Every call is tried in turn, so the rooms that write are looked at on every path between two of them:
what was told to be kept is there, what was refused is there whole or not at all, and the next start
finds a sound store.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.places import ROOT

WORK = ("answering", "a new store", "backup", "restore", "upgrade", "a card")
SOURCE = Path(__file__).with_name("failing_disk.c")


@pytest.mark.skipif(
    sys.platform != "linux" or shutil.which("cc") is None, reason="needs Linux and a C compiler"
)
@pytest.mark.parametrize("name", WORK)
def test_whatever_call_to_the_disk_fails_nothing_that_was_kept_is_lost(
    name: str, tmp_path: Path, tell: Callable[[str, str], None]
) -> None:
    library = tmp_path / "failing_disk.so"
    subprocess.run(
        ["cc", "-shared", "-fPIC", "-O1", "-o", library, SOURCE, "-ldl"], check=True, timeout=60
    )
    # memory in place of a disk: a call that fails does so there too, and a thousand take a minute
    quick = Path("/dev/shm")  # noqa: S108
    place = {"TMPDIR": str(quick)} if os.access(quick, os.W_OK) else {}
    done = subprocess.run(
        [sys.executable, "-m", "tests.faults.disk_work", library, name],
        cwd=ROOT,
        env={**os.environ, **place, "LD_PRELOAD": str(library), "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["wrong"] == []
    # were nothing refused, no call would have failed and nothing would be shown
    assert found["refused"] > 0
    tell(
        f"disk full or broken at each call in turn, once and from then on: {name}",
        f"{found['failed']} failures, {found['refused']} refused, none lost",
    )
