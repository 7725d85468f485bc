"""The dark and the light look. People who cannot tell red from green can tell blue from amber,
and nothing is shown by colour alone."""

from __future__ import annotations

from textual.theme import Theme

# Textual's own 38 % is less than the 4.5 to 1 that text needs (WCAG 2.2, 1.4.3)
_LEGIBLE = {"text-disabled": "auto 70%"}

DARK = Theme(
    name="bench-dark",
    primary="#6cb2eb",
    secondary="#9fb3c8",
    accent="#ffc845",
    warning="#ffc845",
    error="#ff8a65",
    success="#6cb2eb",
    foreground="#eef2f5",
    background="#14191e",
    surface="#1d242b",
    panel="#2a343d",
    dark=True,
    variables=_LEGIBLE,
)
LIGHT = Theme(
    name="bench-light",
    primary="#0b5394",
    secondary="#42566b",
    accent="#7a4b00",
    warning="#7a4b00",
    error="#9c2f00",
    success="#0b5394",
    foreground="#14191e",
    background="#fbfaf5",
    surface="#f1efe6",
    panel="#dedacb",
    dark=False,
    variables=_LEGIBLE,
)
