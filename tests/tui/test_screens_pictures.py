"""A picture of every screen at both sizes in both themes, on the small pack.

A picture that is new or differs fails until somebody has looked at it; the ones that differ are
left in the test's temporary folder, and `pytest --snapshot-update` accepts them. One walk takes
many pictures, since starting the app for each would take minutes.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from pytest_textual_snapshot import SVGImageExtension
from syrupy.assertion import SnapshotAssertion

from diagnose.interview import Workshop
from tui.themes import DARK, LIGHT

SIZES = [(80, 24), (200, 60)]

# keys, then the name of the picture taken once they are handled ("" for none)
WALK: list[tuple[tuple[str, ...], str]] = [
    ((), "start"),
    (("h",), "help-start"),
    (("escape", "b"), "bike"),
    (("enter",), "bike-name"),
    (("escape", "escape", "n"), "complaint"),
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
    (("escape", "u", "1"), "reading"),
    ((*"9 psi", "enter"), "reading-refused"),
    (("backspace",) * 5, ""),
    ((*"1.5", "enter", "d"), "ride"),
    (("j",), "note"),
    (("escape", "1"), "close"),
    (("1",), "card"),
    (("f",), "file"),
    (("escape", "z", "c"), "cases"),
]
PLAIN_WALK: list[tuple[tuple[str, ...], str]] = [
    (("n",), "complaint"),
    (("2", "d", "enter"), "step-caution"),
    (("c",), "causes"),
    (("p",), "plan"),
    (("escape", "y"), "warning"),
    (("exclamation_mark",), "step-stopped"),
]


class Album:
    """Compares pictures with those accepted, and keeps the ones that differ."""

    def __init__(self, snapshot: SnapshotAssertion, folder: Path) -> None:
        self._snapshot = snapshot.use_extension(SVGImageExtension)
        self._folder = folder
        self.differ: list[str] = []

    def add(self, app: Any, name: str) -> None:
        """Take a picture of `app` and compare it."""
        svg = app.export_screenshot()
        if not svg == self._snapshot(name=name):  # noqa: SIM201 - syrupy compares by ==
            (self._folder / f"{name}.svg").write_text(svg, encoding="utf-8")
            self.differ.append(name)


@pytest.mark.parametrize("size", SIZES, ids=["80x24", "200x60"])
async def test_every_screen_in_both_themes(
    open_app: Any,
    mower_shop: Workshop,
    snapshot: SnapshotAssertion,
    tmp_path: Path,
    size: tuple[int, int],
) -> None:
    """One walk from the start to a closed case, stopping at every screen."""
    album = Album(snapshot, tmp_path)
    async with open_app(mower_shop, size=size) as driver:
        for keys, name in WALK:
            await driver.press(*keys)
            for theme in (DARK, LIGHT) if name else ():
                driver.app.theme = theme.name
                await driver.settle()
                album.add(driver.app, f"{name}-{theme.name}")
            driver.app.theme = DARK.name
    assert not album.differ, f"look at {tmp_path}"


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
    if how == "no-colour":
        monkeypatch.setenv("NO_COLOR", "1")
    album = Album(snapshot, tmp_path)
    options = {"ascii_only": how == "ascii", "large": how == "large"}
    async with open_app(mower_shop, size=(80, 24), **options) as driver:
        for keys, name in PLAIN_WALK:
            await driver.press(*keys)
            album.add(driver.app, name)
    assert not album.differ, f"look at {tmp_path}"
