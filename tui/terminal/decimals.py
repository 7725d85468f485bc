"""The decimal comma, on what is shown: `12.5 psi` as `12,5 psi`, width unchanged.

Only numbers before a unit, a per cent sign or the other end of a range are touched, so that a
version, a page or an address stays what it is.
"""

from __future__ import annotations

import re

from rules.units.quantities import printed_units

_UNITS = "|".join(
    re.escape(unit)
    for unit in sorted(
        {*printed_units(), "min", "minutes", "hours", "decibans", "db"}, key=len, reverse=True
    )
)
_DECIMAL = re.compile(
    rf"(?<![\w.,])([-+]?\d+)\.(\d+)(?= ?(?:{_UNITS})(?!\w)|(?: to | \()[-+]?\d+(?:\.\d+)?)"
)


def with_comma(text: str) -> str:
    """`text` with a decimal comma in its quantities."""
    return _DECIMAL.sub(r"\1,\2", text) if "." in text else text
