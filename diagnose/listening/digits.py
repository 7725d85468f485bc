"""Figures written in digits."""

from __future__ import annotations

import re

_FRACTION = re.compile(r"(?:(\d+)[ -])?(\d{1,2})/(\d{1,2})")
_PARTS = frozenset({2, 3, 4, 8, 16, 32})
VULGAR = {"½": 0.5, "¼": 0.25, "¾": 0.75}
PARTS_OF = {"tenth": 0.1, "tenths": 0.1, "hundredth": 0.01, "hundredths": 0.01} | dict.fromkeys(
    ("thou", "thous", "thousandth", "thousandths"), 0.001
)
PARTS_OF |= {"eighth": 0.125, "eighths": 0.125, "sixteenth": 0.0625, "sixteenths": 0.0625}
"""What a measure is counted in after a number: `fifteen hundredths`, `a tenth of a bar`."""
INCH_PARTS = frozenset({"thou", "thous"})
"""Those that are of an inch where nothing else is said."""


def in_digits(word: str) -> tuple[float, ...]:
    """The value, or the values that `/` stands between: `1/2` is a half, `12/13` are two."""
    if word in VULGAR:
        return (VULGAR[word],)
    parts = _FRACTION.fullmatch(word)
    if parts is not None:
        whole, count, of = parts[1], int(parts[2]), int(parts[3])
        if of in _PARTS and 0 < count < of:
            return (float(whole or 0) + count / of,)
        return tuple(float(x) for x in (whole, parts[2], parts[3]) if x is not None)
    if re.fullmatch(r"\d{1,3}(?:,\d{3})+", word):
        return (float(word.replace(",", "")),)
    return (float(word.replace(",", ".")),)
