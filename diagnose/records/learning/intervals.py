"""Where a Beta-distributed share probably lies."""

from __future__ import annotations

import numpy as np

from diagnose.records.learning.learned import Share

_POINTS = 20_001


def interval(share: Share, mass: float = 0.9) -> tuple[float, float]:
    """The central interval that holds `mass` of the Beta distribution.

    The density is summed over the log odds u, where it is smooth for every pair of counts:
    x^a (1-x)^b du with x = 1/(1+e^-u). Accurate to about 1e-4 of the share (checked in
    tests/published).
    """
    a, b = share.with_it, share.without
    middle = np.log(a / b)
    spread = np.sqrt(1 / a + 1 / b)
    u = middle + np.linspace(-1, 1, _POINTS) * (12 * spread + 12 / min(a, b, 1.0))
    log_density = -a * np.logaddexp(0, -u) - b * np.logaddexp(0, u)
    density = np.exp(log_density - log_density.max())
    cumulative = np.concatenate([[0.0], np.cumsum((density[1:] + density[:-1]) / 2)])
    cumulative /= cumulative[-1]
    tails = ((1 - mass) / 2, (1 + mass) / 2)
    low, high = (float(1 / (1 + np.exp(-np.interp(tail, cumulative, u)))) for tail in tails)
    return low, high
