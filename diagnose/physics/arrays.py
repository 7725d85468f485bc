"""The array type of this package."""

import numpy as np
import numpy.typing as npt

__all__ = ["FloatArray"]

FloatArray = npt.NDArray[np.float64]
