"""A picture of every screen of the bikes at both sizes; `test_screens_pictures` says how it works."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from syrupy.assertion import SnapshotAssertion

from diagnose.diagnosis import Workshop
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.store.store import Store
from tests.tui.app.test_screens_pictures import PICTURE_SIZES, PLAINER_LOOKS, Album, plainer
from tests.tui.bikes.bike_bench import memory_store, settable_shop, stock
from tui.app.themes import LIGHT

WALK: list[tuple[tuple[str, ...], str]] = [
    (("b",), "bikes"),
    (("/", *"125"), "bikes-search"),
    (("escape", "up", "enter"), "bike-page"),
    (("2",), "bike-due"),
    (("3",), "bike-history"),
    (("1", "enter", *"7 psi", "enter"), "bike-setting-refused"),
    (("escape", "r"), "bike-ride"),
    (("escape", "u"), "bike-take-back"),
    (("escape", "l", "space", "down"), "bike-checks"),
    (("w",), "bike-check-how"),
    (("escape", "escape", "c"), "bike-find-setting"),
    (("escape", "e", "2", "t"), "bike-form"),
]


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Workshop:
    return settable_shop(tmp_path_factory.mktemp("pack"))


@pytest.fixture
def store(shop: Workshop) -> Store:
    kept = memory_store()
    stock(kept, shop.rules)
    BikeBook(kept).add("Other 125", [])
    return kept


@pytest.mark.slow
@PICTURE_SIZES
async def test_every_screen_of_the_bikes(
    open_app: Any,
    shop: Workshop,
    store: Store,
    snapshot: SnapshotAssertion,
    tmp_path: Path,
    size: tuple[int, int],
) -> None:
    """One walk, stopping at every screen."""
    album = Album(snapshot, tmp_path)
    async with open_app(shop, size=size, open_store=lambda: store) as driver:
        await album.walk(driver, WALK)
    assert not album.differ, f"look at {tmp_path}"


@pytest.mark.slow
@PLAINER_LOOKS
async def test_the_bikes_when_plainer(
    open_app: Any,
    shop: Workshop,
    store: Store,
    snapshot: SnapshotAssertion,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    how: str,
) -> None:
    """ASCII only, without colour, with large targets, and on light, on 80x24."""
    album = Album(snapshot, tmp_path)
    options = plainer(how, monkeypatch)
    async with open_app(shop, open_store=lambda: store, **options) as driver:
        if how == "light":
            driver.app.theme = LIGHT.name
        for keys, name in (("b",), "bikes"), (("enter",), "bike-page"), (("l",), "bike-checks"):
            driver.send(*keys)
            await driver.settle()
            await album.add(driver, name)
            assert how != "ascii" or driver.sent().isascii()
    assert not album.differ, f"look at {tmp_path}"
