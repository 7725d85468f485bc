"""The array types of this package."""

import numpy as np
import numpy.typing as npt

__all__ = ["FloatArray", "IntArray"]

FloatArray = npt.NDArray[np.float64]

IntArray = npt.NDArray[np.int64]
