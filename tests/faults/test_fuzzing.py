"""Fuzzing, guided by coverage, of everything that reads what people write and pages send."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.places import ROOT

TARGETS = ("listening", "units", "case", "pack", "protocol")
SECONDS = int(os.environ.get("FUZZ_SECONDS", "60"))
LONGEST = {"pack": 4000}


@pytest.fixture(scope="module")
def atheris(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the fuzzer in it, which is large and made for few systems."""
    folder = tmp_path_factory.mktemp("atheris")
    done = subprocess.run(
        [sys.executable, "-m", "pip", "install", "-q", "--target", folder, "atheris"],
        capture_output=True,
        check=False,
        timeout=300,
    )
    if done.returncode != 0:
        pytest.skip("atheris cannot be installed here")
    return folder


@pytest.mark.parametrize("target", TARGETS)
def test_no_text_is_answered_with_anything_but_a_result_or_words(
    target: str, atheris: Path, tmp_path: Path, tell: Callable[[str, str], None]
) -> None:
    done = subprocess.run(
        [
            sys.executable, ROOT / "tests" / "fuzz" / "readers.py", target,
            f"-max_total_time={SECONDS}", f"-max_len={LONGEST.get(target, 600)}", "-len_control=0",
            f"-artifact_prefix={tmp_path}/",
        ],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": f"{ROOT}{os.pathsep}{atheris}"},
        capture_output=True,
        text=True,
        errors="replace",
        check=False,
        timeout=SECONDS + 600,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-4000:]
    runs = re.search(r"Done (\d+) runs in (\d+) second", done.stderr)
    assert runs is not None
    assert int(runs[1]) > 100
    tell(
        f"bytes at random, guided by coverage: {target}",
        f"{int(runs[1]):,} in {runs[2]} s, no crash",
    )
