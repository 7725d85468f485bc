"""The decimal comma on what is shown."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.units.quantities import parse_quantity, printed_units
from tui.terminal.decimals import with_comma


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Target: 12.5 psi (rule of thumb)", "Target: 12,5 psi (rule of thumb)"),
        ("0.29 (0.24 to 0.34) of", "0,29 (0,24 to 0.34) of"),
        ("2.5 min; +0.8 bar, -1.25 mm", "2,5 min; +0,8 bar, -1,25 mm"),
        ("99.1 %", "99,1 %"),
        ("version 0.1.0", "version 0.1.0"),
        ("textual 8.2 mmx", "textual 8.2 mmx"),
        ("192.168.0.20 m", "192.168.0.20 m"),
        ("page 12.3", "page 12.3"),
        ("see 3.2. It", "see 3.2. It"),
        ("v1.5 bar", "v1.5 bar"),
    ],
)
def test_quantities_change_and_nothing_else(text: str, shown: str) -> None:
    assert with_comma(text) == shown


@given(whole=st.integers(0, 9999), part=st.integers(0, 9), unit=st.sampled_from(printed_units()))
def test_what_is_shown_with_a_comma_is_understood_again(whole: int, part: int, unit: str) -> None:
    shown = with_comma(f"{whole}.{part} {unit}")
    assert shown == f"{whole},{part} {unit}"
    assert parse_quantity(shown) == parse_quantity(f"{whole}.{part} {unit}")


@given(st.text())
def test_the_width_never_changes(text: str) -> None:
    assert len(with_comma(text)) == len(text)
