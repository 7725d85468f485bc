"""Checks on the checks."""

import math

import pytest

from diagnose.physics.errors import PhysicsError, finite, not_negative, positive, within


def test_good_values_come_back_unchanged() -> None:
    """A value in range is returned as it is."""
    assert finite("length", -1.0, "m") == -1.0
    assert positive("length", 0.1, "m") == 0.1
    assert not_negative("length", 0.0, "m") == 0.0
    assert within("length", 2.0, 1.0, 2.0, "m") == 2.0


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_no_number_is_refused_everywhere(value: float) -> None:
    """Infinity and not-a-number never pass, whichever check is used."""
    for check in (finite, positive, not_negative):
        with pytest.raises(PhysicsError, match="ordinary number"):
            check("length", value, "m")
    with pytest.raises(PhysicsError, match="ordinary number"):
        within("length", value, 0.0, 1.0, "m")


def test_message_names_the_quantity_the_value_and_what_would_do() -> None:
    """The message is enough to mend the input."""
    with pytest.raises(PhysicsError) as caught:
        positive("stroke", -0.003, "m")
    assert str(caught.value) == "stroke is -0.003 m; it must be above 0 m"
    with pytest.raises(PhysicsError) as caught:
        within("altitude", 12_000.0, -5_000.0, 11_000.0, "m")
    assert str(caught.value) == "altitude is 12000 m; it must be between -5000 and 11000 m"
    with pytest.raises(PhysicsError) as caught:
        not_negative("friction", -1.0, "N")
    assert str(caught.value) == "friction is -1 N; it must be 0 N or more"


def test_zero_is_not_positive() -> None:
    """Zero passes not_negative only."""
    with pytest.raises(PhysicsError):
        positive("stroke", 0.0, "m")


def test_it_is_a_value_error() -> None:
    """Callers may catch the ordinary error."""
    assert issubclass(PhysicsError, ValueError)
