"""Pictures of the screens, on small packs: each important screen on 80x24, a few in other looks.

A picture that is new or differs fails until somebody has looked at it; the ones that differ are
left in the test's temporary folder, and `pytest --snapshot-update` accepts them. One walk takes
many pictures, since starting the app for each would take minutes.
"""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterable
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from pytest_textual_snapshot import SVGImageExtension
from syrupy.assertion import SnapshotAssertion

from diagnose.advice.assessor import Assessor
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.store.store import Store
from rules.problems import BadInput
from tests.mower_bikes import memory_store, settable_shop, stock
from tests.places import MOWER
from tests.tui.conftest import Driver, OpenApp
from tui.app.themes import LIGHT


@dataclass(frozen=True)
class Look:
    """A size of the screen and what is asked of the app besides."""

    size: tuple[int, int] = (80, 24)
    options: dict[str, bool] = field(default_factory=dict)
    environment: dict[str, str] = field(default_factory=dict)
    theme: str = ""


LOOKS = {
    "usual": Look(),
    "200x60": Look((200, 60)),
    "60x20": Look((60, 20)),
    "ascii": Look(options={"ascii_only": True}),
    "large": Look(options={"large": True}),
    "no-colour": Look(environment={"NO_COLOR": "1"}),
    "light": Look(theme=LIGHT.name),
}
# keys pressed one by one, then the name of the picture taken once they are handled ("" for none)
Walk = Iterable[tuple[tuple[str, ...], str]]

CASE: Walk = [
    ((), "start"),
    (("b", "a"), "bike"),
    (("escape", "escape", "enter"), "story"),
    (("enter", *"shakes"), "complaint-search"),
    (("enter",), "complaint-place"),
    (("1", "enter"), "check-in"),
    (("enter",), "step-caution"),
    (("w",), "why"),
    (("escape", "p"), "plan"),
    (("escape", "y"), "warning"),
    (("exclamation_mark",), "step-stopped"),
    (("e",), "earlier"),
    (("end", "enter"), "answer-again"),
    (
        ("escape", "z", "escape", "escape", "enter", "enter", "1", "enter", "enter", "h"),
        "help-step",
    ),
    (("escape", "question_mark"), "step-moved"),
    (("tab",), "sheet"),
    (("tab", "w", "tab"), "causes"),
    (("escape", "u", "1", "question_mark", *"9 psi", "enter"), "reading-refused"),
    (("backspace",) * 5, ""),
    ((*"1.5", "enter", "f"), "ride"),
    (("j", "escape", "1"), "close"),
    (("1", "1"), "card"),
    (("escape", "escape", "c", "slash", *"start"), "cases-found"),
]
BIKES: Walk = [
    (("b",), "bikes"),
    (("enter",), "bike-page"),
    (("2",), "bike-due"),
    (("3",), "bike-history"),
    (("1", "a"), "bike-ride"),
    (("escape", "s", "space", "down"), "bike-checks"),
    (("escape", "e", "2", "u"), "bike-form"),
]
TRAINING: Walk = [
    (("l", "escape", "a", *"Ann", "enter"), "course"),
    (("e", "g"), "encounter"),
    (("slash", *"tank", "enter", "slash", *"stale", "enter"), "coach"),
    (("g", "1", "enter", "question_mark"), "hint"),
    (
        ("y", "k", "escape", "C", "slash", *"stale", "enter", "f", "g", "enter", "g", "v"),
        "cautions",
    ),
    (("f", "g", "1", "enter", "f", "f", "g", "enter"), "score"),
    (("w", "right"), "review"),
    (("escape", "escape", "end", "enter", "1", "f", "f", "f", "f"), "exam-result"),
    (("escape", "k"), "progress"),
]

_LOOKS_AT_MOST = 10


class Album:
    """Opens apps and compares pictures of them with those accepted, keeping the ones that differ."""

    def __init__(
        self,
        open_app: OpenApp,
        snapshot: SnapshotAssertion,
        folder: Path,
        patch: pytest.MonkeyPatch,
    ) -> None:
        self._open_app = open_app
        self._snapshot = snapshot.use_extension(SVGImageExtension)
        self._folder = folder
        self._patch = patch

    @asynccontextmanager
    async def open(self, shop: Assessor, name: str = "usual", **more: Any) -> AsyncIterator[Driver]:
        """An app that looks as `LOOKS` says under that name."""
        look = LOOKS[name]
        for variable, value in look.environment.items():
            self._patch.setenv(variable, value)
        async with self._open_app(shop, size=look.size, **look.options, **more) as driver:
            if look.theme:
                driver.app.theme = look.theme
            yield driver
            if look.options.get("ascii_only"):
                assert driver.sent().isascii()

    async def walk(self, driver: Driver, walk: Walk) -> None:
        """Take the pictures of a walk; fails with the names of those that differ."""
        differ = []
        for keys, name in walk:
            await driver.press(*keys)
            await driver.settle()
            if name and not await self._is_as_it_was(driver, name):
                differ.append(name)
        assert not differ, f"look at {self._folder}"

    async def _is_as_it_was(self, driver: Driver, name: str) -> bool:
        """A footer draws itself anew some refreshes after its screen: on a busy machine it may take
        a second look to find everything drawn."""
        svg = ""
        for _ in range(_LOOKS_AT_MOST):
            await driver.pilot.pause()
            svg = driver.app.export_screenshot()
            if svg == self._snapshot(name=name):
                return True
        (self._folder / f"{name}.svg").write_text(svg, encoding="utf-8")
        return False


@pytest.fixture
def album(
    open_app: OpenApp, snapshot: SnapshotAssertion, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Album:
    return Album(open_app, snapshot, tmp_path, monkeypatch)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Assessor:
    return settable_shop(tmp_path_factory.mktemp("pack"))


@pytest.fixture
def stocked(shop: Assessor) -> Store:
    """A store with a bike that has a record and one that has none."""
    kept = memory_store()
    stock(kept, shop.rules)
    BikeBook(kept).add("Other 125", [])
    return kept


async def test_a_case(album: Album, mower_assessor: Assessor) -> None:
    """From the start to a closed case."""
    async with album.open(mower_assessor, open_store=memory_store) as driver:
        await album.walk(driver, CASE)


@pytest.mark.parametrize("look", ["200x60", "ascii", "no-colour", "light"])
async def test_a_case_in_other_looks(album: Album, mower_assessor: Assessor, look: str) -> None:
    async with album.open(mower_assessor, look) as driver:
        step = ("enter", "enter", "2", "1", "enter", "enter")
        await album.walk(driver, [(step, "step-caution"), (("p",), "plan")])


async def test_what_a_record_says(album: Album, shop: Assessor) -> None:
    """A case begun on a bike with a record."""
    store = memory_store()
    bike = stock(store, shop.rules)
    async with album.open(shop, open_store=lambda: store) as driver:
        driver.app.rooms.bikes.picked = bike
        await album.walk(driver, [(("enter",), "known")])
        assert driver.screen == "KnownScreen"


async def test_a_store_that_cannot_be_opened(album: Album, shop: Assessor) -> None:
    def refuse() -> Store:
        raise BadInput("/shop/store.sqlite: the file is torn or is no badride store")

    async with album.open(shop, open_store=refuse) as driver:
        await album.walk(driver, [((), "no-store")])


async def test_the_bikes(album: Album, shop: Assessor, stocked: Store) -> None:
    async with album.open(shop, open_store=lambda: stocked) as driver:
        await album.walk(driver, BIKES)


@pytest.mark.parametrize("look", ["60x20", "ascii", "large"])
async def test_a_bike_in_other_looks(
    album: Album, shop: Assessor, stocked: Store, look: str
) -> None:
    async with album.open(shop, look, open_store=lambda: stocked) as driver:
        await album.walk(driver, [(("b", "enter"), "bike-page")])


async def test_training(album: Album, mower_assessor: Assessor) -> None:
    """From nobody to an exam."""
    async with album.open(mower_assessor, open_store=memory_store, packs=(MOWER,)) as driver:
        await album.walk(driver, TRAINING)


@pytest.mark.long
@pytest.mark.parametrize("look", ["200x60", "no-colour", "light"])
async def test_an_encounter_in_other_looks(
    album: Album, mower_assessor: Assessor, look: str
) -> None:
    async with album.open(mower_assessor, look, open_store=memory_store, packs=(MOWER,)) as driver:
        await album.walk(driver, [(("l", "escape", "a", *"Ann", "enter", "g"), "encounter")])


@pytest.mark.parametrize("look", ["usual", "60x20", "ascii"])
async def test_tyre_or_damping(album: Album, offroad_assessor: Assessor, look: str) -> None:
    async with album.open(offroad_assessor, look) as driver:
        driver.send("t", *["right"] * 12, "down", *["left"] * 4)
        await album.walk(driver, [((), "harsh")])
