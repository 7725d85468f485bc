"""Force, height and the rim, held against sums by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from diagnose.physics.ride.force_and_rim import DEEP, LAST, rim_edges, start_force, stroke_force
from diagnose.physics.ride.lanes import Lanes, SetupLanes, UnknownScales, build_lanes
from tests.reference_setup import reference_bike, reference_setup

PSI = 6_894.757
FRONT, SETUP = reference_bike().front, reference_setup().front


def lanes(**change: float) -> Lanes:
    return build_lanes(FRONT, SetupLanes.of([replace(SETUP, **change)]), UnknownScales.ones(1))


def test_a_sound_fork_starts_at_its_preload_and_its_friction() -> None:
    """50 N of preload and 60 N of friction that must be broken at 1.4 times: 134 N."""
    assert start_force(lanes())[0] == pytest.approx(50.0 + 1.4 * 60.0)


def test_shut_in_air_is_started_against_too() -> None:
    """30 kPa on 40.7 cm² is 122 N; 0.4 N a kPa at the seals is 12 N more, broken at 1.4 times."""
    area = FRONT.air.area
    assert area == pytest.approx(40.66e-4, rel=0.001)
    more = start_force(lanes(trapped_pressure=30e3))[0] - start_force(lanes())[0]
    assert more == pytest.approx(30e3 * area + 1.4 * 12.0, abs=0.1)


def test_a_stiff_spring_is_felt_deep_and_oil_at_the_end() -> None:
    """Spring +15 %: 15 % of the spring's own part. Oil 30 mm high: little at two thirds."""
    plain, stiff, oil = (
        [float(stroke_force(lanes(**change), share)[0]) for share in (DEEP, LAST)]
        for change in ({}, {"spring_rate": 1.15 * SETUP.spring_rate}, {"oil_raised": 0.027})
    )
    spring = SETUP.spring_rate * DEEP * FRONT.travel
    assert stiff[0] - plain[0] == pytest.approx(0.15 * spring)
    assert 1.10 < stiff[0] / plain[0] < 1.13
    assert oil[0] / plain[0] < 1.06
    assert oil[1] / plain[1] > 1.10


def test_the_rim_is_met_on_lower_edges_the_softer_the_tyre() -> None:
    """6, 12.5 and 19 psi; with foam inside, on none that is tried."""
    found = rim_edges(
        FRONT, [replace(SETUP, tyre_pressure=psi * PSI) for psi in (6.0, 12.5, 19.0, 80.0)]
    )
    assert found[0] is not None
    assert found[1] is not None
    assert found[2] is not None
    assert 0.045 < found[0] < found[1] < found[2] < 0.090
    assert found[3] is None


def test_a_known_squash_stays_off_the_rim() -> None:
    """Standing still the tyre is squashed by its load over its stiffness: 10.6 mm."""
    tyre = lanes().tyre_stiffness[0]
    assert (78.0 + 15.0) * 9.80665 / tyre == pytest.approx(0.0106, abs=0.0002)
    assert np.isfinite(tyre)
