"""Figures as anybody might write them: read as meant, or refused in words."""

from __future__ import annotations

import math
from functools import partial

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from rules.units.quantities import (
    BadQuantity,
    Quantity,
    parse_quantity,
    parse_threshold,
    si_unit,
    unit_kind,
    units_like,
    with_unit,
)
from rules.units.unit_table import unit_spellings

UNITS = st.sampled_from(sorted(unit for unit in unit_spellings() if unit))
SPACES = st.sampled_from(["", " ", "  ", "\u00a0", "\u202f", "\u2009", "\t"])
MARKS = st.sampled_from(["", "", "\u200e", "\u200f", "\ufeff", "\u2068"])
DIGITS = ["0123456789", "٠١٢٣٤٥٦٧٨٩", "०१२३४५६७८९", "０１２３４５６７８９"]
NONSENSE = st.text(
    st.one_of(
        st.sampled_from("0123456789.,+-−'’_ eExXnNaAiIfF/%°·*\u200f\u202e\u00a0\x00\x1b\u2028½²٣"),
        st.characters(),
    ),
    max_size=70,
)


@given(
    st.decimals(-9999, 9999, places=2), UNITS, SPACES, MARKS, st.sampled_from(DIGITS), st.booleans()
)
def test_a_figure_is_read_as_it_was_meant(
    number: object, unit: str, space: str, mark: str, digits: str, comma: bool
) -> None:
    written = f"{number}".translate(str.maketrans("0123456789", digits))
    written = written.replace(".", ",") if comma else written
    quantity = parse_quantity(f"{mark}{written}{space}{unit}{mark}")
    assert quantity.value == float(str(number))
    assert quantity.kind == unit_kind(unit)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("−5 °C", -5.0),  # the minus sign of a printed page
        (".5 mm", 0.5),
        (",5 mm", 0.5),
        ("0,125 mm", 0.125),
        ("1.234 m", 1.234),
        ("12345 Pa", 12345.0),
        ("\u200f13 psi", 13.0),
        ("13\u200e psi", 13.0),
        ("\ufeff13 psi", 13.0),
        ("１３ psi", 13.0),
        ("13 K", 13.0),  # the Kelvin sign
    ],
)
def test_spellings_that_come_from_elsewhere(text: str, value: float) -> None:
    assert parse_quantity(text).value == value


@given(
    st.sampled_from(["", "+", "-", "−"]),
    st.one_of(st.none(), st.integers(0, 999)),
    st.sampled_from([2, 3, 4, 6, 8, 16, 32, 64]),
    st.data(),
    st.sampled_from([" ", "-", "  ", "\u00a0"]),
    SPACES,
    UNITS,
    st.sampled_from(DIGITS),
)
def test_a_fraction_is_read_as_it_was_meant(
    sign: str,
    whole: int | None,
    parts: int,
    data: st.DataObject,
    between: str,
    space: str,
    unit: str,
    digits: str,
) -> None:
    count = data.draw(st.integers(1, parts - 1))
    written = f"{sign}{'' if whole is None else f'{whole}{between}'}{count}/{parts}"
    written = written.translate(str.maketrans("0123456789", digits))
    size = (whole or 0) + count / parts
    quantity = parse_quantity(f"{written}{space}{unit}")
    assert quantity.value == (-size if sign in ("-", "−") else size)
    assert quantity.kind == unit_kind(unit)
    assert parse_quantity(written, unit) == quantity


@given(NONSENSE, UNITS, UNITS)
@example("1,5", "bar", "psi")
@example("1 1/2", "bar", "psi")
def test_a_number_alone_is_in_the_unit_it_is_given(text: str, unit: str, other: str) -> None:
    """Whatever else is written means what it meant, or is refused as it was."""

    def read(text: str, unit: str) -> Quantity | None:
        try:
            return parse_quantity(text, unit)
        except BadQuantity:
            return None

    written = with_unit(text, unit)
    assert read(written, unit) == read(text, unit)
    if written == text and other in units_like(unit):
        assert read(written, other) == read(text, unit)


@pytest.mark.parametrize(
    "text", ["1,000 psi", "12,500 Pa", "-1,234 m", "target + 1,000 Pa", "target x 1,500"]
)
def test_a_comma_that_may_group_thousands_is_asked_about(text: str) -> None:
    """Read as a decimal comma, a thousand would become one."""
    read = partial(parse_threshold, unit="psi") if "target" in text else parse_quantity
    with pytest.raises(
        BadQuantity, match=r"may mean [+-]?[\d.]+ or [+-]?\d+; write it without the comma"
    ):
        read(text)


@pytest.mark.parametrize(
    "text",
    [
        "1.000,5 psi", "1,000.5 psi", "1'000 psi", "1’000 psi", "1 000 psi", "1_000 psi", "1,2,3 psi",
        "5. psi", "½ psi", "² psi", "10/12 psi", "12/13 psi", "3/2 in", "1/0 in", "1/5 in",
        "1.5/2 in", "1 2/3/4 in", "1,5 1/2 in", "1 1 1/2 in", "1--1/2 in", "0/2 in", "1/ 2 in", "0x10 psi", "1e5 psi", "nan psi", "inf psi", "-inf",
        "--5 psi", "+-5 psi", "13 psi psi", "13 ｐｓｉ", "psi 13", "13 psi\x00", "13 \ud800", "٫5 psi",
    ],
)  # fmt: skip
def test_what_could_be_misread_is_refused_by_name(text: str) -> None:
    with pytest.raises(BadQuantity) as refused:
        parse_quantity(text, "psi")
    assert str(refused.value).encode(), "fit for any terminal"


@given(NONSENSE, st.one_of(st.none(), UNITS))
@example("9" * 60, "psi")
@example("9" * 300, "psi")
@example("", None)
def test_any_text_is_a_finite_quantity_or_a_message(text: str, unit: str | None) -> None:
    try:
        quantity = parse_quantity(text, unit)
    except BadQuantity as error:
        assert str(error).isprintable()
        assert len(str(error)) < 500
    else:
        assert math.isfinite(quantity.value)
        assert math.isfinite(quantity.to(si_unit(quantity.unit)).value)
        assert unit is None or quantity.kind == unit_kind(unit)
        str(quantity).encode()


@given(
    st.one_of(NONSENSE, st.tuples(st.sampled_from(["target", "target +", "target x", "TARGET -"]), NONSENSE).map(" ".join)),
    UNITS,
    st.floats(allow_nan=False, min_value=-1e60, max_value=1e60),
)  # fmt: skip
@example("target x 1e400", "psi", 1.0)
@example("target x 1_0", "psi", 1.0)
@example("target x " + "9" * 50, "psi", 1e60)
def test_any_text_is_a_finite_limit_or_a_message(text: str, unit: str, target: float) -> None:
    try:
        limit = parse_threshold(text, unit)
    except BadQuantity as error:
        assert str(error).isprintable()
    else:
        assert math.isfinite(limit.value(Quantity(target, unit_spellings()[unit].printed), unit))


@given(st.text(max_size=30))
@example("psi\ud800")
@example("İ")
def test_an_unknown_unit_is_named(unit: str) -> None:
    try:
        kind = unit_kind(unit)
    except BadQuantity as error:
        assert repr(unit) in str(error)
    else:
        assert kind in {item.kind for item in unit_spellings().values()}
