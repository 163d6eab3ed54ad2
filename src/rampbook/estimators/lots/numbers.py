"""The arrays that the lots are made of."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
# Orders of settings, one a row: 0 old, 1 new.
Orders = NDArray[np.int8]
# The same, one a column, eight practices to a byte.
Packed = NDArray[np.uint8]
