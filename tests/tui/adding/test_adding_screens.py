"""What a shop knows, added on the screens: a question a page, back, put by, kept, taken back."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.advice.assessor import Assessor
from rules.loading.loader import load_packs
from tests.places import MOWER
from tests.tui.conftest import Driver, OpenApp

HEAD = """\
pack: {id: shop, title: Shed, version: "1", format: 1, about: Ours., builds_on: mower}
sources:
  bench: {kind: memory, title: our bench}
"""


async def say(driver: Driver, *lines: str) -> None:
    """Type each line into the box and press Enter."""
    for line in lines:
        await driver.press(*("space" if sign == " " else sign for sign in line), "enter")


@pytest.fixture
def packs(tmp_path: Path) -> tuple[Path, Path]:
    """The mower's pack, and an own one on it."""
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "pack.yaml").write_text(HEAD, encoding="utf-8")
    return (MOWER, shop)


async def test_back_put_by_kept_and_taken_back(open_app: OpenApp, packs: tuple[Path, Path]) -> None:
    shop = packs[1]
    async with open_app(Assessor(load_packs(packs)), packs=packs) as driver:
        await driver.press("a")
        assert "To your own pack: Shed" in driver.flat()
        await driver.press("6")
        await say(driver, "")
        assert "write something here" in driver.flat()
        await say(driver, "The muffler burns.")
        await say(driver, "stale fuel")
        assert "“Stale fuel” is a cause, not a check or a correction" in driver.flat()
        await driver.press("escape")  # what was said is in the box, and stands if it is taken
        assert "The muffler burns." in driver.flat()
        await driver.press("enter")
        assert "stale fuel" in driver.flat()
        await driver.press("f2")  # with what stands in the box
        assert "Put by." in driver.flat()
        await driver.press("a")
        assert "1 answer " in driver.flat()
        await driver.press("g")
        assert "stale fuel" in driver.flat()
        await driver.press(*["backspace"] * 10)
        await say(driver, "spark plug")
        assert "So far: " in driver.flat()
        await say(driver, "", "")  # no more; our bench is offered
        await driver.app.at_rest()
        await driver.settle()
        assert "Keep “The muffler burns.”?" in driver.flat()
        assert "text: The muffler burns." in driver.flat()
        assert "the-muffler-burns" not in load_packs(packs).cautions
        await driver.press("y")
        assert "Kept: The muffler burns." in driver.flat()
        assert "the-muffler-burns" in load_packs(packs).cautions
        await driver.press("g")
        assert "the-muffler-burns" in driver.app.shop.rules.cautions
        await driver.press("a", "u", "n")
        assert "the-muffler-burns" in driver.app.shop.rules.cautions
        await driver.press("u", "y")
        assert "Taken back: The muffler burns." in driver.flat()
        assert "the-muffler-burns" not in driver.app.shop.rules.cautions
        assert (shop / "pack.yaml").read_text(encoding="utf-8") == HEAD


@pytest.mark.long
async def test_a_cause_with_its_check_and_work_is_added_and_used(
    open_app: OpenApp, packs: tuple[Path, Path]
) -> None:
    async with open_app(Assessor(load_packs(packs)), packs=packs) as driver:
        causes = len(driver.app.shop.rules.causes)
        await driver.press("a", "1")
        await say(driver, "Air filter soaked", "Oil chokes it.")
        await driver.press("1")
        await say(driver, "lots")
        assert "'lots' is not a number" in driver.flat()
        await driver.press(*["backspace"] * 4)
        await say(driver, "5", "will not")
        await driver.press("5")
        await say(driver, "new check")
        await driver.press("2")
        await say(driver, "Is the filter soaked?", "")
        await driver.press("2")
        await say(driver, "1", "Take the lid off.", "", "", "", "")
        await driver.press("6")
        assert "So far: Will not start; Is the filter soaked?" in driver.flat()
        await say(driver, "")
        await driver.press("n", "n", "a")
        await say(driver, "Wash the filter", "Wash it.", "", "10")
        await driver.press("1")
        await say(driver, "")
        await driver.press("1", "n")
        await say(driver, "", "It tears.", "It starts.", "", "")
        await driver.app.at_rest()
        await driver.settle()
        assert "Air filter soaked: under 1 % -> " in driver.flat()
        await driver.press("y", "g")
        made = driver.app.shop.rules.causes["air-filter-soaked"]
        assert len(driver.app.shop.rules.causes) == causes + 1
        assert made.shows == {"no-start": "likely", "is-the-filter-soaked": "very likely"}
        assert made.correction == "wash-the-filter"


async def test_a_pack_is_made_where_there_is_none_and_is_used_from_then_on(
    open_app: OpenApp, offroad_assessor: Assessor, tmp_path: Path
) -> None:
    kept: dict[str, str] = {}
    options = {"keep_setting": kept.__setitem__}
    async with open_app(offroad_assessor, **options) as driver:
        driver.app.page = object()  # type: ignore[assignment]
        await driver.press("a")
        assert "at the computer that serves this page" in driver.flat()
        driver.app.page = None
        await driver.press("a")
        await driver.press("home", *["delete"] * len("~/our-shop"))
        await say(driver, str(tmp_path / "our-shop"))
        assert "To your own pack: Our shop" in driver.flat()
        assert kept == {"packs": str(tmp_path / "our-shop")}
        assert (tmp_path / "our-shop" / "pack.yaml").exists()
        await driver.press("escape")
        assert "Off-road motorcycles + Our shop" in driver.flat()
