"""One bar for what makes a ride harsher: its length, its parts, its band."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.harshness.shares import GROUPS
from diagnose.physics.budget.axle_budget import Estimate
from tui.harshness.stacked_bar import stacked_bar
from tui.terminal.glyphs import ASCII, UNICODE

SURE = Estimate(0.5, 0.5, 0.5)
HALVES = {"the tyre": 0.5, "damping": 0.5}
PARTS = st.lists(st.floats(0.0, 1.0), min_size=len(GROUPS), max_size=len(GROUPS)).filter(any)


def drawn(*given: object) -> str:
    return "".join(sign for sign, _ in stacked_bar(*given))  # type: ignore[arg-type]


def test_parts_end_at_an_eighth_of_a_cell_and_begin_with_their_mark() -> None:
    assert drawn(SURE, HALVES, 1.0, 16, UNICODE) == "T███D███"
    assert drawn(SURE, HALVES, 1.0, 17, UNICODE) == "T███▎D██▌"
    assert drawn(SURE, None, 1.0, 17, UNICODE) == "████████▌"
    assert drawn(SURE, {"the tyre": 0.02, "friction": 0.98}, 1.0, 16, UNICODE) == "▏F██████"


def test_the_band_is_shaded_from_its_lower_to_its_upper_end() -> None:
    band = Estimate(0.5, 0.25, 0.75)
    assert drawn(band, HALVES, 1.0, 16, UNICODE) == "T███D▓▓▓▒▒▒▒"
    assert drawn(band, HALVES, 1.0, 16, ASCII) == "TTTTdddd===="
    assert drawn(Estimate(-0.4, -0.5, -0.3), None, 1.0, 16, UNICODE) == ""


@given(PARTS, st.floats(-1.0, 2.0), st.floats(0.0, 1.0), st.integers(1, 120))
@pytest.mark.parametrize("glyphs", [UNICODE, ASCII])
def test_no_bar_is_longer_than_its_room_nor_than_its_upper_end(
    glyphs: object, parts: list[float], middle: float, spread: float, width: int
) -> None:
    shares = {name: part / sum(parts) for name, part in zip(GROUPS, parts, strict=True)}
    high = middle + spread
    bar = drawn(Estimate(middle, middle - spread, high), shares, 1.0, width, glyphs)
    assert len(bar) <= min(width, max(0.0, high) * width + 1)
    assert len(bar) >= min(width, int(high * width) - 1)
