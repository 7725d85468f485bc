"""How timings are told."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np


def spread(seconds: Sequence[float]) -> str:
    """Median, 95th percentile and largest, in milliseconds."""
    median, p95 = np.percentile(seconds, [50, 95]) * 1e3
    return f"median {median:.1f} ms, p95 {p95:.1f} ms, worst {max(seconds) * 1e3:.1f} ms"
