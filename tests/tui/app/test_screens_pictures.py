"""A picture of every screen at both sizes in both themes, on the small pack.

A picture that is new or differs fails until somebody has looked at it; the ones that differ are
left in the test's temporary folder, and `pytest --snapshot-update` accepts them. One walk takes
many pictures, since starting the app for each would take minutes.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest
from pytest_textual_snapshot import SVGImageExtension
from syrupy.assertion import SnapshotAssertion

from diagnose.diagnosis import Workshop
from diagnose.records.store.store import Store
from rules.problems import BadInput
from tests.tui.bikes.bike_bench import memory_store, settable_shop, stock
from tests.tui.conftest import Driver
from tui.app.themes import DARK, LIGHT

PICTURE_SIZES = pytest.mark.parametrize(
    "size",
    [
        pytest.param((80, 24), id="80x24"),
        pytest.param((200, 60), id="200x60", marks=pytest.mark.long),
    ],
)

# keys, then the name of the picture taken once they are handled ("" for none)
WALK: list[tuple[tuple[str, ...], str]] = [
    ((), "start"),
    (("h",), "help-start"),
    (("escape", "b", "a"), "bike"),
    (("enter",), "bike-name"),
    (("escape", "escape", "escape", "n"), "complaint"),
    ((*"shakes",), "complaint-search"),
    (("enter",), "complaint-place"),
    (("d",), "complaint-picked"),
    (("enter",), "step-caution"),
    (("w",), "why"),
    (("escape", "p"), "plan"),
    (("escape", "y"), "warning"),
    (("exclamation_mark",), "step-stopped"),
    (("e",), "earlier"),
    (("end", "enter"), "answer-again"),
    (("escape", "x", "escape", "escape", "n", "1", "enter"), "step"),
    (("h",), "help-step"),
    (("escape", "question_mark"), "step-moved"),
    (("c",), "causes"),
    (("escape", "u", "1", "question_mark"), "reading"),
    ((*"9 psi", "enter"), "reading-refused"),
    (("backspace",) * 5, ""),
    ((*"1.5", "enter", "d"), "ride"),
    (("j",), "note"),
    (("escape", "1"), "close"),
    (("1",), "closing"),
    (("1",), "card"),
    (("f",), "file"),
    (("escape", "k"), "card-customer"),
    (("w",), "write"),
    (("escape", "escape", "c"), "cases"),
    (("slash", *"start"), "cases-found"),
]
PLAIN_WALK: list[tuple[tuple[str, ...], str]] = [
    (("n",), "complaint"),
    (("2", "d", "enter"), "step-caution"),
    (("c",), "causes"),
    (("p",), "plan"),
    (("escape", "y"), "warning"),
    (("exclamation_mark",), "step-stopped"),
]
# the two that most changes of a screen touch first; the others are seen by the long tests
PLAINER_LOOKS = pytest.mark.parametrize(
    "how",
    ["ascii", "large", *(pytest.param(h, marks=pytest.mark.long) for h in ("no-colour", "light"))],
)

_LOOKS = 10


class Album:
    """Compares pictures with those accepted, and keeps the ones that differ."""

    def __init__(self, snapshot: SnapshotAssertion, folder: Path) -> None:
        self._snapshot = snapshot.use_extension(SVGImageExtension)
        self._folder = folder
        self.differ: list[str] = []

    async def add(self, driver: Driver, name: str) -> None:
        """Take a picture of the app and compare it.

        A footer draws itself anew some refreshes after its screen: on a busy machine it may take a
        second look to find everything drawn.
        """
        svg = ""
        for _ in range(_LOOKS):
            await driver.pilot.pause()
            svg = driver.app.export_screenshot()
            if svg == self._snapshot(name=name):
                return
        (self._folder / f"{name}.svg").write_text(svg, encoding="utf-8")
        self.differ.append(name)

    async def walk(self, driver: Driver, walk: Iterable[tuple[tuple[str, ...], str]]) -> None:
        """Type each piece of a walk ahead, and take the picture it leads to."""
        for keys, name in walk:
            driver.send(*keys)
            await driver.settle()
            await self.add(driver, name)


def plainer(how: str, monkeypatch: pytest.MonkeyPatch) -> dict[str, bool]:
    """How to open an app that is to look plainer, as `PLAINER_LOOKS` names it."""
    if how == "no-colour":
        monkeypatch.setenv("NO_COLOR", "1")
    return {"ascii_only": how == "ascii", "large": how == "large"}


@PICTURE_SIZES
async def test_every_screen_in_both_themes(
    open_app: Any,
    mower_shop: Workshop,
    snapshot: SnapshotAssertion,
    tmp_path: Path,
    size: tuple[int, int],
) -> None:
    """One walk from the start to a closed case, stopping at every screen."""
    album = Album(snapshot, tmp_path)
    async with open_app(mower_shop, size=size, open_store=memory_store) as driver:
        for keys, name in WALK:
            await driver.press(*keys)
            for theme in (DARK, LIGHT) if name else ():
                driver.app.theme = theme.name
                await driver.settle()
                await album.add(driver, f"{name}-{theme.name}")
            driver.app.theme = DARK.name
    assert not album.differ, f"look at {tmp_path}"


@pytest.mark.slow
@pytest.mark.parametrize("how", ["ascii", "no-colour", "large"])
async def test_plainer_screens(
    open_app: Any,
    mower_shop: Workshop,
    snapshot: SnapshotAssertion,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    how: str,
) -> None:
    """ASCII only, without colour, and with large targets, on 80x24."""
    album = Album(snapshot, tmp_path)
    options = plainer(how, monkeypatch)
    async with open_app(mower_shop, size=(80, 24), **options) as driver:
        for keys, name in PLAIN_WALK:
            await driver.press(*keys)
            await album.add(driver, name)
    assert not album.differ, f"look at {tmp_path}"


@PICTURE_SIZES
async def test_what_a_record_says_and_what_cannot_be_kept(
    open_app: Any, snapshot: SnapshotAssertion, tmp_path: Path, size: tuple[int, int]
) -> None:
    """A case begun on a bike with a record; a store that cannot be opened, and going on without."""
    album = Album(snapshot, tmp_path)
    shop = settable_shop(tmp_path)
    store = memory_store()
    bike = stock(store, shop.rules)
    async with open_app(shop, size=size, open_store=lambda: store) as driver:
        driver.app.use_bike(bike)
        await driver.press("n", "x")
        await album.add(driver, "known")

    def refuse() -> Store:
        raise BadInput("/shop/store.sqlite: the file is torn or is no badride store")

    async with open_app(shop, size=size, open_store=refuse) as driver:
        await album.add(driver, "no-store")
        await driver.press("2")
        await album.add(driver, "nothing-kept")
    assert not album.differ, f"look at {tmp_path}"
