"""What a cell of a scan may be."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

#: What a cell is: floor that was seen; covered, something stands there; unseen, no points of use;
#: doubtful, points that may be floor but are not shown to be.
FLOOR, COVERED, UNSEEN, DOUBTFUL = 0, 1, 2, 3
STATES = ("floor", "covered", "unseen", "doubtful")

States = NDArray[np.int8]
