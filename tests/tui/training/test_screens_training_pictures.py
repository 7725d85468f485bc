"""A picture of every training screen at both sizes; `test_screens_pictures` says how it works."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from syrupy.assertion import SnapshotAssertion

from diagnose.diagnosis import Workshop
from tests.places import MOWER
from tests.tui.app.test_screens_pictures import PICTURE_SIZES, PLAINER_LOOKS, Album, plainer
from tests.tui.bikes.bike_bench import memory_store
from tui.app.themes import LIGHT

WALK: list[tuple[tuple[str, ...], str]] = [
    (("l",), "trainees-none"),
    (("a",), "trainee-add"),
    ((*"Ann", "enter"), "course"),
    (("p",), "practice-level"),
    (("escape", "slash", *"try", "enter"), "unit-locked"),
    (("escape", "c", "n"), "encounter"),
    (("slash", *"tank"), "encounter-search"),
    (("enter", "slash", *"stale", "enter"), "coach"),
    (("g",), "coach-expects"),
    (("1",), "coach-view"),
    (("enter", "i"), "hint"),
    (("y",), "encounter-hinted"),
    (("n",), "notebook"),
    (("escape", "c", "slash", *"stale", "enter"), "move"),
    (("d", "g", "enter", "r", "r"), "move-cautions"),
    (("d", "g", "1", "enter", "b", "d", "g", "enter"), "score"),
    (("enter",), "score-meaning"),
    (("escape", "v", "right"), "review"),
    (("escape", "escape", "v"), "reviews"),
    (("escape", "end", "enter"), "exam"),
    (("1", "b", "d", "b", "d"), "exam-result"),
    (("escape", "g"), "progress"),
    (("escape", "escape"), "trainees"),
]
PLAIN_WALK: list[tuple[tuple[str, ...], str]] = [
    (("l", "a", *"Ann", "enter"), "course"),
    (("n",), "encounter"),
    (("r", "r"), "move-cautions"),
    (("escape", "b", "d"), "score"),
    (("v",), "review"),
    (("escape", "escape", "n", "b", "d", "escape", "n", "b", "d", "escape", "g"), "progress"),
]


@pytest.mark.slow
@PICTURE_SIZES
async def test_every_training_screen(
    open_app: Any,
    mower_shop: Workshop,
    snapshot: SnapshotAssertion,
    tmp_path: Path,
    size: tuple[int, int],
) -> None:
    """One walk from nobody to an exam, stopping at every screen."""
    album = Album(snapshot, tmp_path)
    async with open_app(mower_shop, size=size, open_store=memory_store, packs=(MOWER,)) as driver:
        await album.walk(driver, WALK)
    assert not album.differ, f"look at {tmp_path}"


@pytest.mark.slow
@PLAINER_LOOKS
async def test_training_when_plainer(
    open_app: Any,
    mower_shop: Workshop,
    snapshot: SnapshotAssertion,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    how: str,
) -> None:
    """ASCII only, without colour, with large targets, and on light, on 80x24."""
    album = Album(snapshot, tmp_path)
    options = plainer(how, monkeypatch)
    async with open_app(mower_shop, open_store=memory_store, packs=(MOWER,), **options) as driver:
        if how == "light":
            driver.app.theme = LIGHT.name
        await album.walk(driver, PLAIN_WALK)
    assert not album.differ, f"look at {tmp_path}"
