"""A rule base of many causes is weighed within the memory of a small one."""

from __future__ import annotations

import pytest

from diagnose.inference.recursion import MOST_BITS, most_bits


@pytest.mark.parametrize("causes", [0, 1, 170, 200, 570, 2000])
def test_what_is_held_at_once_does_not_grow_with_the_rule_base(causes: int) -> None:
    bits = most_bits(causes)
    assert bits == MOST_BITS if causes <= 200 else bits < MOST_BITS
    assert causes * 2**bits <= 200 * 2**MOST_BITS
