"""The one error of this package, and the checks that raise it."""

import math

from rules.problems import BadInput

__all__ = ["PhysicsError", "finite", "not_negative", "positive", "within"]


class PhysicsError(BadInput):
    """A value that physics or the workshop rules out.

    The message names the quantity, the value that was given and what would be accepted.
    """


def finite(name: str, value: float, unit: str) -> float:
    """Return `value` if it is an ordinary number.

    Raises `PhysicsError` if `value` is infinite or not a number.
    """
    if not math.isfinite(value):
        raise PhysicsError(f"{name} is {value} {unit}; an ordinary number is needed")
    return value


def positive(name: str, value: float, unit: str) -> float:
    """Return `value` if it is above zero.

    Raises `PhysicsError` if `value` is zero, negative, infinite or not a number.
    """
    if finite(name, value, unit) <= 0.0:
        raise PhysicsError(f"{name} is {value:g} {unit}; it must be above 0 {unit}")
    return value


def not_negative(name: str, value: float, unit: str) -> float:
    """Return `value` if it is zero or above.

    Raises `PhysicsError` if `value` is negative, infinite or not a number.
    """
    if finite(name, value, unit) < 0.0:
        raise PhysicsError(f"{name} is {value:g} {unit}; it must be 0 {unit} or more")
    return value


def within(name: str, value: float, lowest: float, highest: float, unit: str) -> float:
    """Return `value` if it lies between `lowest` and `highest`, both included.

    Raises `PhysicsError` if `value` is outside, infinite or not a number.
    """
    if not lowest <= finite(name, value, unit) <= highest:
        raise PhysicsError(
            f"{name} is {value:g} {unit}; it must be between {lowest:g} and {highest:g} {unit}"
        )
    return value
