"""Tyre or damping under the arrow keys, held against the command that says it without a screen."""

from __future__ import annotations

import json
import re
import threading
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from click.testing import CliRunner

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Case, read_answer, read_complaint
from diagnose.harshness.live import RIDES, Asked, LiveAnswer, LiveBudget
from tui.cli.main import main
from tui.widgets.key_button import KeyButton

SIZES = [(80, 24), (200, 60)]
RIDES_IN_SHORT = ("smooth", "worn", "rough", "exit chop", "rollers", "braking", "stones", "sq. edge", "high edge")  # fmt: skip
THOROUGH = LiveBudget.thorough


def headless(*values: str) -> dict[str, Any]:
    """What `harsh --json` says of the end the values are of."""
    result = CliRunner().invoke(main, ["harsh", "--no-ask", "--json", *values])
    assert result.exit_code == 0, result.output
    document: dict[str, Any] = json.loads(result.stdout)
    (end,) = document["ends"]
    return dict(end)


@pytest.fixture
def ranges_stay_rough(monkeypatch: pytest.MonkeyPatch) -> None:
    """What only the ranges hang on is not waited for."""

    def rough(self: LiveBudget, asked: Asked, wanted: Callable[[], bool]) -> LiveAnswer:
        return replace(self.quick(asked, wanted), rough=False)

    monkeypatch.setattr(LiveBudget, "thorough", rough)
    monkeypatch.setattr("tui.harshness.harsh.PAUSE", 0.0)


@pytest.mark.usefixtures("ranges_stay_rough")
async def test_nothing_measured_says_nothing(open_app: Any, offroad_assessor: Assessor) -> None:
    """But there are a curve, the rules of thumb and the caution."""
    async with open_app(offroad_assessor) as driver:
        await driver.press("t")
        assert driver.screen == "HarshScreen"
        text = driver.text()
        for words in ("Nothing measured at this end yet: begin with its tyre pressure, cold.", "12.5 psi *",
                      "* rule of thumb", "Stand-in bike", "Harshness over tyre pressure", "CAUTION"):  # fmt: skip
            assert words in text, words
        for words in ("harsher,", "Worst of 12 rides", "Shares"):
            assert words not in text, words


@pytest.mark.long
@pytest.mark.usefixtures("ranges_stay_rough")
async def test_one_line_says_that_what_softens_has_no_share(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    """Where something softens; elsewhere the room is the curve's."""
    async with open_app(offroad_assessor, size=(80, 70)) as driver:
        await driver.burst("t", *["right"] * 4, "down", *["left"] * 4)
        assert "what softens has none" not in driver.text()
        await driver.burst(*["right"] * 12)
        text = driver.text()
        assert "Shares add up to 100 %; what softens has none" in text
        assert "softens" in next(line for line in text.splitlines() if "Compression" in line)
        await driver.burst("w")
        assert "each by itself, so ranges do not add up" in driver.flat()


@pytest.mark.long
@pytest.mark.usefixtures("ranges_stay_rough")
async def test_the_targets_unit_is_that_of_a_bare_number_and_of_the_curve(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.burst("t", "r", *"0.9 bar", "enter", "enter")
        assert "A figure in bar, or with its unit: Pa, kPa, psi." in driver.flat()
        await driver.burst(*"1,2", "enter")
        text = driver.text()
        assert "1.2 bar" in text
        assert "upright: 1.2 bar" in text
        foot = text[text.index("└") :]
        assert "bar" in foot
        assert "psi" not in foot


async def test_arrows_typed_ahead_end_at_what_the_command_says(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    """One burst: four psi up, two clicks in, ten mm of gap; every number is the command's."""
    async with open_app(offroad_assessor, size=(200, 60)) as driver:
        keys = ["right"] * 4 + ["down", "left", "left"] + ["down"] * 3 + ["right"] * 2
        await driver.burst("t", *keys)
        text = driver.flat()
    front = headless("--front-tyre", "16.5 psi", "--fork-compression", "10", "--front-gap", "20 mm")
    said = front["tyre_or_damping"]
    assert said[:1].upper() + said[1:] in text
    worst = next(item for item in front["rides"] if item["ride"] == front["worst"])
    assert f"{front['worst'].capitalize()}: " in text
    bands = [worst["extra"], *(share["share"] for share in front["shares"] if share["share"])]
    for item in bands:
        low, middle, high = (round(100 * item[key]) for key in ("low", "middle", "high"))
        assert f"{middle} % ({low} to {high})" in text


@pytest.mark.usefixtures("ranges_stay_rough")
async def test_a_tyre_too_soft_is_a_caution_above_the_answer(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.burst("t", *["left"] * 6)
        text = driver.flat()
        assert text.index("CAUTION: tyre too soft") < text.index("High edge: ")


@pytest.mark.usefixtures("ranges_stay_rough")
async def test_values_move_at_once_and_the_latest_wins(
    open_app: Any, offroad_assessor: Assessor, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While the first answer is worked out, keys change values; those between are never asked."""
    gate, asked = threading.Event(), []
    quick = LiveBudget.quick

    def slow(self: LiveBudget, question: Asked, wanted: Callable[[], bool]) -> LiveAnswer:
        asked.append(question)
        gate.wait(10)
        return quick(self, question, wanted)

    monkeypatch.setattr(LiveBudget, "quick", slow)
    async with open_app(offroad_assessor) as driver:
        try:
            driver.send("t", *["right"] * 9)
            await driver.app.settled()
            assert "21.5 psi" in driver.text()
            assert not driver.app.is_holding
        finally:
            gate.set()
        await driver.settle()
        assert str(asked[-1].known.measured["front-tyre"]) == "21.5 psi"
        assert len(asked) <= 3
        assert "upright: 21.5 psi" in driver.text()


@pytest.mark.long
@pytest.mark.usefixtures("ranges_stay_rough")
async def test_a_bad_value_gives_the_message_and_the_old_one_stays(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    """Typed, stepped past a stop, and impossible only together with the bike."""
    async with open_app(offroad_assessor) as driver:
        await driver.burst("t", "enter", *"soft", "enter")
        assert "'soft' is not a number with a unit" in driver.flat()
        await driver.burst(*["backspace"] * 4, *"9 mm", "enter")
        assert "give a pressure" in driver.flat()
        await driver.burst(*["backspace"] * 4, *"1.2 bar", "enter")
        assert driver.screen == "HarshScreen"
        assert "1.2 bar" in driver.text()
        await driver.burst("down", *["left"] * 13)
        assert "it must be between 0 and 60 clicks" in driver.flat()
        assert "0 clicks" in driver.text()
        await driver.burst(*["down"] * 5, "enter", *"2 mm", "enter")
        text = driver.flat()
        assert "Cannot be: the sag given puts this end" in text
        assert "makes" not in text
        await driver.burst("z")
        assert "Cannot be" not in driver.text()


@pytest.mark.long
@pytest.mark.usefixtures("ranges_stay_rough")
async def test_ends_rides_and_figures_are_keys(open_app: Any, offroad_assessor: Assessor) -> None:
    """Each end keeps its values; the manual's figure loses its mark and gets it back."""
    async with open_app(offroad_assessor) as driver:
        await driver.burst("t", "right", "r", *"13.5", "enter")
        assert re.search(r"Tyre pressure +13\.5 psi +13\.5 psi  ", driver.text())
        assert "Neither: nothing here makes it harsher on any ride" in driver.flat()
        await driver.burst("u", "tab")
        assert "Rear: tyre or damping?" in driver.text()
        assert "Nothing measured at this end" in driver.text()
        await driver.burst("tab", "e", "9")
        text = driver.text()
        assert "Front, braking bumps: tyre or damping?" in text
        assert re.search(r"13\.5 psi +12\.5 psi \*", text)
        assert "Braking bumps: " in text
        await driver.burst("z")
        assert "Nothing measured at this end" in driver.text()


@pytest.mark.long
@pytest.mark.usefixtures("ranges_stay_rough")
async def test_a_case_brings_its_readings_and_gets_nothing_back(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    """What was tried is there when it is opened again, until the readings are others."""
    rules = offroad_assessor.rules
    case = Case({}, {}, (read_complaint(rules, "harsh/front"),))
    case = case.with_event(read_answer(rules, "front-tyre-gauge", "25 psi"))
    async with open_app(offroad_assessor) as driver:
        await driver.go_on_with(case)
        await driver.burst("t", "left", "left")
        assert driver.screen == "HarshScreen"
        assert "23 psi" in driver.text()
        await driver.burst("escape")
        assert driver.screen == "InterviewScreen"
        assert driver.case == case
        await driver.burst("t")
        assert "23 psi" in driver.text()
        await driver.burst("escape")
        driver.app.rooms.cases.record(read_answer(rules, "front-tyre-gauge", "20 psi"))
        await driver.settle()
        await driver.burst("t")
        assert "20 psi" in driver.text()


@pytest.mark.long
async def test_why_has_changes_assumptions_sources_and_the_caution(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    async with open_app(offroad_assessor, size=(100, 70)) as driver:
        await driver.burst("t", *["right"] * 8, "w")
        text = driver.flat()
        for words in ("two psi out", "Ride by ride", "exit rollers", "Felt besides",
                      "rim touch at 8 m/s", "Shapley", "% harsher than right is put right by -", "Not seen by the model", "Not measured, taken as it should be", "from memory",
                      "a full-size stand-in", "Never force an adjuster past its stop"):  # fmt: skip
            assert words in text, words


@pytest.mark.usefixtures("ranges_stay_rough")
async def test_nothing_is_cut_on_a_small_screen(open_app: Any, offroad_assessor: Assessor) -> None:
    """Caution, shares, keys, and the table of changes; 80x24 has the manual's key too."""
    async with open_app(offroad_assessor) as driver:
        await driver.burst("t", *["right"] * 8, "down", "left")
        assert re.search(r"\br Manual\b", driver.text())
        assert "force no stop (w)" in driver.text()
        assert "Shapley" not in driver.text()
    async with open_app(offroad_assessor, size=(60, 20)) as driver:
        await driver.burst("t", *["right"] * 8, "down", "left")
        text = driver.text()
        assert "…" not in text
        assert "force no stop (w)" in driver.flat()
        assert re.search(r"12\.5 psi \* +\d+ %", text)
        for key in ("r Manual", "z None", "e Ground", "tab F/R", "w Why"):
            assert key in text, key
        keys = [child.region for child in driver.app.screen.query("FooterKey")]
        assert all(region.right <= 60 and region.bottom <= 20 for region in keys)
        bars = driver.app.screen.query_one("#bars")
        assert bars.region.height > 2 and bars.region.bottom <= 20  # a bar under its legend
        assert "█" in text
        await driver.burst("w")
        rows = driver.text().splitlines()
        table = rows[next(n for n, row in enumerate(rows) if "What if" in row) :]
        assert re.search(r"^What if +small chop +square edge *$", table[0])
        assert "tyre to 12.5 psi" in table[3]
        assert len(re.findall(r"-\d+ % \(", table[4])) == 2


@pytest.mark.usefixtures("ranges_stay_rough")
async def test_a_single_reading_is_not_called_all_of_it(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    async with open_app(offroad_assessor) as driver:
        await driver.burst("t", *["right"] * 8)
        text = driver.flat()
        assert "only one read" in text
        assert "only that was measured, what was not measured could add to it" in text


@pytest.mark.usefixtures("ranges_stay_rough")
@pytest.mark.long
@pytest.mark.parametrize("size", SIZES)
async def test_it_fits_and_names_its_keys(
    open_app: Any, offroad_assessor: Assessor, size: tuple[int, int]
) -> None:
    """Footer, help and palette; with large targets too."""
    async with open_app(offroad_assessor, size=size) as driver:
        await driver.burst("t", *["right"] * 8)
        names = await driver.palette()
        for words in ("Type the value marked", "Type what it should be by the manual", "Another ground to ride on", "More of it",
                      "Ride: landing", "Look at: Friction gap", "Front or rear"):  # fmt: skip
            assert any(words in name for name in names), words
        for key in ("", "ctrl+l", "w", "escape"):
            await driver.burst(*([key] if key else []))
            screen = driver.app.screen
            assert (screen.max_scroll_x, screen.max_scroll_y) == (0, 0), key
            assert screen.query_one("Footer").region.bottom == size[1]
            keys = [child.region for child in screen.query("FooterKey")]
            assert all(region.right <= size[0] for region in keys), key
        buttons = list(driver.app.screen.query(KeyButton))
        assert all(b.outer_size.height >= 3 and b.region.bottom < size[1] for b in buttons)
        await driver.pilot.click(buttons[0])
        await driver.settle()
        assert "19.5 psi" in driver.text()


@pytest.mark.long
@pytest.mark.usefixtures("ranges_stay_rough")
async def test_ascii_has_a_spelling_for_every_sign(
    open_app: Any, offroad_assessor: Assessor
) -> None:
    """What has none would be sent as a question mark."""
    async with open_app(offroad_assessor, ascii_only=True) as driver:
        await driver.burst("t", *["right"] * 12, "down", *["left"] * 4)
        sent = driver.sent()
    assert sent.isascii()
    assert not any("?" in line for line in sent.splitlines() if "damping?" not in line)


WHOLE = [(80, 24), *(pytest.param(size, marks=pytest.mark.long) for size in ((100, 30), (120, 40), (140, 45), (200, 60)))]  # fmt: skip


@pytest.mark.usefixtures("ranges_stay_rough")
@pytest.mark.parametrize("size", WHOLE)
async def test_every_ride_has_its_bar_beside_values_and_a_curve_with_figures(
    open_app: Any,
    offroad_assessor: Assessor,
    size: tuple[int, int],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Marks and names tell the parts apart; both axes have figures; a key still changes a value."""
    monkeypatch.setattr(LiveBudget, "thorough", THOROUGH)
    async with open_app(offroad_assessor, size=size) as driver:
        await driver.burst("t", *["right"] * 6, "down", *["left"] * 4, *["down"] * 3, "right", "right")  # fmt: skip
        text = driver.text()
        assert "…" not in text
        assert re.search(r"T tyre  D damping *\n?.*F friction", text)
        rides = RIDES if size[0] > 94 else (*RIDES_IN_SHORT, "small chop", "entry chop", "landing")
        bars = {ride: re.search(rf"\b{ride} +-?\d+ (?:\([^)]*\) +)?(\S+)", text) for ride in rides}
        assert all(bars.values()), bars
        small = bars["small chop"]
        assert small is not None
        assert re.match(r"T\S+F", small[1]), small[1]
        frame = [line for line in text.splitlines() if re.search(r"│.*│ +\d+ %", line)]
        assert len(frame) >= 2
        foot = text[text.index("└") :].splitlines()[1]
        assert len(re.findall(r"\d+ mm", foot)) >= 2
        await driver.burst("right")
        assert "25 mm" in driver.text()
        screen = driver.app.screen
        assert (screen.max_scroll_x, screen.max_scroll_y) == (0, 0)
        keys = [child.region for child in screen.query("FooterKey")]
        assert all(region.right <= size[0] for region in keys)
