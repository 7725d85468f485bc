"""What every fault shares: it is long, asked for by name, and tells its figures as a row."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

HERE = Path(__file__).parent


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Everything in this folder is long and a fault."""
    for item in items:
        if item.path.is_relative_to(HERE):
            item.add_marker(pytest.mark.long)
            item.add_marker(pytest.mark.faults)


@pytest.fixture
def tell(capsys: pytest.CaptureFixture[str]) -> Callable[[str, str], None]:
    """`tell(what, figure)` prints a row of the table of faults."""

    def say(what: str, figure: str) -> None:
        with capsys.disabled():
            print(f"\n| {what} | {figure} | {datetime.now(UTC):%d %b %Y} |")

    return say
