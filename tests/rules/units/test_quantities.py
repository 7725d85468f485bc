"""Quantities as people write them."""

from __future__ import annotations

import functools
from typing import Any

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.units.quantities import (
    BadQuantity,
    Quantity,
    parse_quantity,
    parse_threshold,
    si_unit,
    units_like,
    with_unit,
)
from rules.units.unit_table import unit_spellings


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("13 psi", "psi", 13.0),
        ("13psi", "psi", 13.0),
        ("0.9 bar", "bar", 0.9),
        ("0,9 bar", "bar", 0.9),
        ("88 kPa", "kPa", 88.0),
        ("-5 °C", "°C", -5.0),
        ("15 ft-lb", "lbf·ft", 15.0),
        ("17 Nm", "N·m", 17.0),
        ("17 N·m", "N·m", 17.0),
        ("12 clicks", "clicks", 12.0),
        ("1.75 turns", "turns", 1.75),
        ("1 1/2 turns", "turns", 1.5),
        ("1-1/2 turns", "turns", 1.5),
        ("3 1/2 in", "in", 3.5),
        ("1/2 turn", "turns", 0.5),
        ("3/8in", "in", 0.375),
        ("-1 1/4 in", "in", -1.25),
        ("12 1/2 psi", "psi", 12.5),
    ],
)
def test_usual_spellings(text: str, unit: str, value: float) -> None:
    assert parse_quantity(text) == Quantity(value, unit)


def test_a_bare_number_takes_the_unit_asked_for() -> None:
    assert parse_quantity("13", "psi") == Quantity(13.0, "psi")
    with pytest.raises(BadQuantity, match="needs a unit"):
        parse_quantity("13")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("soft", "not a number with a unit"),
        ("13 furlongs", "unit 'furlongs' is not known; use one of psi, Pa, bar, kPa$"),
        ("13 mm", "is a length; give a pressure"),
        ("", "not a number"),
        ("1" * 400, "not a number"),
    ],
)
def test_what_cannot_be_read_says_what_would_be(text: str, message: str) -> None:
    with pytest.raises(BadQuantity, match=message):
        parse_quantity(text, "psi")


def test_units_of_the_same_kind_are_offered() -> None:
    assert units_like("psi") == ("psi", "Pa", "bar", "kPa")


def test_an_unknown_unit_where_any_would_do_names_a_few_spelt_alike() -> None:
    with pytest.raises(BadQuantity) as refused:
        parse_quantity("20 ft-lbs")
    named = str(refused.value).partition("nearest in spelling: ")[2].split(", ")
    assert "lbf·ft" in named
    assert len(named) <= 5


@pytest.mark.parametrize(
    ("unit", "accepted"),
    [
        ("h", ("h", "min")),
        ("min", ("min", "h")),
        ("s", ("s", "h", "min")),
        ("months", ("months", "days", "years")),
        ("days", ("days", "months", "years")),
    ],
)
def test_running_hours_and_the_calendar_are_kept_apart(
    unit: str, accepted: tuple[str, ...]
) -> None:
    assert units_like(unit) == accepted
    for other in ("s", "min", "h", "days", "months", "years"):
        if other in accepted:
            assert parse_quantity(f"2 {other}", unit) == Quantity(2.0, other)
        else:
            with pytest.raises(BadQuantity, match=f"give it in {' or '.join(accepted)}$"):
                parse_quantity(f"2 {other}", unit)


def test_a_figure_of_time_alone_may_be_in_any_unit_of_time() -> None:
    """An interval before a ride is hours or calendar, as its pack says."""
    assert parse_quantity("3 months") == Quantity(3.0, "months")
    assert Quantity(2.0, "days").to("h").value == pytest.approx(48.0)


@pytest.mark.parametrize(
    ("text", "completed"),
    [
        ("1,2", "1,2 bar"),
        (" 13 ", "13 bar"),
        ("1 1/2", "1 1/2 bar"),
        ("\u22125", "\u22125 bar"),
        ("13 psi", "13 psi"),
        ("13psi", "13psi"),
        ("soft", "soft"),
        ("?", "?"),
        ("", ""),
    ],
)
def test_a_number_alone_gets_a_unit_and_nothing_else_does(text: str, completed: str) -> None:
    assert with_unit(text, "bar") == completed


def test_a_count_gets_no_unit() -> None:
    assert with_unit("3", "") == "3"


@pytest.mark.parametrize(
    ("text", "target", "limit"),
    [
        ("12 psi", None, 12.0),
        ("target", 12.5, 12.5),
        ("target + 6 psi", 12.5, 18.5),
        ("target - 2 psi", 12.5, 10.5),
        ("target x 1.4", 10.0, 14.0),
        ("-3 psi", None, -3.0),
    ],
)
def test_limits(text: str, target: float | None, limit: float) -> None:
    given_target = None if target is None else Quantity(target, "psi")
    assert parse_threshold(text, "psi").value(given_target, "psi") == pytest.approx(limit)


@pytest.mark.parametrize(
    "text", ["", "+ 3 psi", "x 2", "target 3 psi", "target x", "target + 3 mm"]
)
def test_bad_limits(text: str) -> None:
    with pytest.raises(BadQuantity):
        parse_threshold(text, "psi")


def test_a_limit_from_a_target_needs_one() -> None:
    with pytest.raises(BadQuantity, match="none is known"):
        parse_threshold("target + 1 psi", "psi").value(None, "psi")


def test_temperature_offsets_are_differences() -> None:
    limit = parse_threshold("target + 9 °F", "°C")
    assert limit.value(Quantity(20.0, "°C"), "°C") == pytest.approx(25.0)


@given(
    st.floats(0.1, 1e4),
    st.sampled_from(["psi", "bar", "kPa"]),
    st.sampled_from(["psi", "bar", "kPa"]),
)
def test_conversion_goes_there_and_back(value: float, one: str, other: str) -> None:
    assert Quantity(value, one).to(other).to(one).value == pytest.approx(value, rel=1e-12)


@given(st.text(max_size=40))
def test_any_text_gives_a_quantity_or_a_message(text: str) -> None:
    try:
        quantity = parse_quantity(text, "psi")
    except BadQuantity as error:
        assert str(error)
    else:
        assert quantity.kind == "pressure"


# what each printed unit is called in the other library
_PINT_NAMES = {
    "kPa": "kilopascal", "Pa": "pascal", "N·m": "newton * meter", "lbf·ft": "force_pound * foot",
    "lbf·in": "force_pound * inch", "kgf·m": "kilogram_force * meter", "lb": "pound", "st": "stone", "L": "liter",
    "ml": "milliliter", "cm³": "centimeter ** 3", "m³": "meter ** 3", "N": "newton",
    "kgf": "kilogram_force", "N/mm": "newton / millimeter", "N/m": "newton / meter",
    "kgf/mm": "kilogram_force / millimeter", "lbf/in": "force_pound / inch", "°C": "degC",
    "°F": "degF", "K": "kelvin", "h": "hour", "°": "degree", "%": "percent", "clicks": "click",
    "turns": "screwturn", "": "dimensionless",
}  # fmt: skip


@pytest.mark.parametrize("spelling", sorted(unit_spellings()))
@pytest.mark.parametrize("size", [37.5, -12.0, 0.0])
def test_units_convert_as_another_library_has_them(spelling: str, size: float) -> None:
    """There and back; pint has its factors from CODATA and NIST."""
    unit = unit_spellings()[spelling]
    full = _full_pint()
    own, si = (_PINT_NAMES.get(name, name) for name in (unit.printed, unit.si))
    expected = float(full.Quantity(size, own).to(full.Unit(si)).magnitude)
    converted = Quantity(size, spelling).to(si_unit(spelling))
    assert converted.value == pytest.approx(expected, rel=1e-12, abs=1e-12)
    assert converted.to(spelling).value == pytest.approx(size, rel=1e-12, abs=1e-12)


@functools.cache
def _full_pint() -> Any:
    registry: Any = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
    registry.define("click = [click]")
    registry.define("screwturn = [screwturn]")
    return registry


def test_the_same_limit_is_parsed_once() -> None:
    assert parse_threshold("target + 3 psi", "psi") is parse_threshold("target + 3 psi", "psi")
    assert parse_quantity("13 psi", "psi") is parse_quantity("13 psi", "psi")
    assert parse_quantity("13", "psi") != parse_quantity("13", "bar")
