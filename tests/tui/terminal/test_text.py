"""Lines that fit any terminal."""

from __future__ import annotations

from tui.terminal.text import wrapped


def test_a_number_and_its_per_cent_sign_stay_on_one_line() -> None:
    for width in range(12, 40):
        lines = list(wrapped("Front tyre too hard 98 %; too soft 2 %.", "  ", width=width))
        assert not any(line.strip().startswith("%") for line in lines)
        assert " ".join(line.strip() for line in lines).count(" %") == 2
