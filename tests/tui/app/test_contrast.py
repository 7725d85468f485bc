"""Whether the colours of both looks can be told apart from what they stand on.

The formula is that of the Web Content Accessibility Guidelines (WCAG) 2.2, W3C Recommendation,
5 October 2023: relative luminance and contrast ratio in its glossary; success criterion 1.4.3
(text: at least 4.5 to 1).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from textual.color import Color
from textual.theme import Theme

from diagnose.advice.assessor import Assessor
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.store.store import Store
from tests.tui.conftest import Driver, OpenApp
from tui.app.themes import DARK, LIGHT

TEXT = 4.5


def luminance(colour: Color) -> float:
    def linear(part: int) -> float:
        share = part / 255
        return share / 12.92 if share <= 0.04045 else float(((share + 0.055) / 1.055) ** 2.4)

    return 0.2126 * linear(colour.r) + 0.7152 * linear(colour.g) + 0.0722 * linear(colour.b)


def contrast(one: Color, other: Color) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_gives_what_the_guidelines_give() -> None:
    """Black on white is 21 to 1; #767676 on white is the well-known grey just above 4.5."""
    white = Color.parse("#ffffff")
    assert contrast(Color.parse("#000000"), white) == pytest.approx(21)
    assert contrast(white, white) == 1
    assert 4.5 < contrast(Color.parse("#767676"), white) < 4.6
    assert contrast(Color.parse("#777777"), white) < 4.5


@pytest.mark.parametrize("theme", [DARK, LIGHT], ids=lambda theme: theme.name)
@pytest.mark.parametrize("ground", ["background", "surface", "panel"])
@pytest.mark.parametrize(
    "colour", ["foreground", "primary", "secondary", "accent", "warning", "error", "success"]
)
def test_every_colour_of_text_can_be_read_on_every_ground(
    theme: Theme, ground: str, colour: str
) -> None:
    ratio = contrast(Color.parse(getattr(theme, colour)), Color.parse(getattr(theme, ground)))
    assert ratio >= TEXT, f"{colour} on {ground}: {ratio:.2f}"


def drawn(driver: Driver) -> Iterator[tuple[float, str]]:
    """Contrast and letters of everything that stands on the screen, as it is drawn."""
    filters, ground = driver.app.get_line_filters(), driver.app.screen.styles.background
    for strip in driver.strips():
        for one in filters:  # dim letters are drawn paler by one of them
            strip = strip.apply_filter(one, ground)  # noqa: PLW2901
        for segment in strip:
            style = segment.style
            if style is None or not segment.text.strip() or style.color is None:
                continue
            if (
                style.bgcolor is None
                or style.color.triplet is None
                or style.bgcolor.triplet is None
            ):
                continue
            ink, ground = Color(*style.color.triplet), Color(*style.bgcolor.triplet)
            if style.reverse:
                ink, ground = ground, ink
            yield contrast(ink, ground), segment.text.strip()


BARS = set("█░▒▓━─│┃╭╮╰╯┏┓┗┛┌┐└┘▁▂▃▄▅▆▇▊▎▌▐▔ ")
# keys to press, one screen after another
WALK = (
    "start", "h", "escape", "t", "escape", "b", "a", "escape", "escape", "c", "escape", "e", "escape",
    "l", "escape", "a", "S a m", "enter", "enter", "enter", "n", "escape", "o", "escape", "escape", "escape", "g",
    "escape", "escape", "escape",
    "enter", "question_mark", "h a r", "s h enter", "1", "enter", "enter", "enter",
    "w", "escape", "s", "escape", "p", "escape", "k", "k", "e", "escape",
)  # fmt: skip


def is_low(ratio: float, text: str) -> bool:
    """Lines and bars say nothing that is not said in words beside them."""
    return ratio < TEXT and not set(text) <= BARS


@pytest.mark.long
@pytest.mark.parametrize("light", [False, True], ids=["dark", "light"])
async def test_everything_on_the_screens_can_be_read_and_reached_in_order(
    open_app: OpenApp, offroad_assessor: Assessor, light: bool
) -> None:
    """Contrast of all text, and Tab going from top to bottom and in a row from left to right; the
    check-in has lists side by side, gone down one after the other."""
    low: set[str] = set()
    astray: set[str] = set()
    screens: set[str] = set()
    async with open_app(offroad_assessor, light=light) as driver:
        for keys in WALK:
            await driver.press(*(keys.split() if keys != "start" else ()))
            seen = list(drawn(driver))
            assert len(seen) > 2
            screens.add(driver.screen)
            low |= {f"{driver.screen}: {t!r} {ratio:.2f}" for ratio, t in seen if is_low(ratio, t)}
            places = [(w.region.y, w.region.x) for w in driver.app.screen.focus_chain]
            if places != sorted(places):
                astray.add(driver.screen)
    assert len(screens) >= 18, screens
    assert low == set()
    assert astray <= {"CheckInScreen"}


@pytest.mark.parametrize("look", ["light", "dark", "no colour"])
async def test_the_screens_of_a_bike_can_be_read_too(
    open_app: OpenApp,
    offroad_assessor: Assessor,
    open_shop: Callable[[], Store],
    look: str,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The row marked and the tab shown stand on another ground."""
    if look == "no colour":
        monkeypatch.setenv("NO_COLOR", "1")
    BikeBook(open_shop()).add("Demo", [])
    low: set[str] = set()
    async with open_app(offroad_assessor, open_store=open_shop, light=look != "dark") as driver:
        for key in ("b", "enter", "s"):
            await driver.press(key)
            low |= {f"{driver.screen}: {t} {r:.2f}" for r, t in drawn(driver) if is_low(r, t)}
        assert driver.screen == "BikeChecksScreen"
    assert low == set()
