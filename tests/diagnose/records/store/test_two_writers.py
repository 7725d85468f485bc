"""Several processes on one store: nothing that was committed is lost or written twice."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

WriteTogether = Callable[[str, float], str]


def test_a_second_of_two_writers(tmp_path: Path, write_together: WriteTogether) -> None:
    write_together(str(tmp_path / "store.sqlite"), 1)


@pytest.mark.long
@pytest.mark.faults
def test_a_minute_of_two_writers(
    tmp_path: Path, write_together: WriteTogether, capsys: pytest.CaptureFixture[str]
) -> None:
    told = write_together(str(tmp_path / "store.sqlite"), 60)
    with capsys.disabled():
        print(f"\nSQLite: {told}")
