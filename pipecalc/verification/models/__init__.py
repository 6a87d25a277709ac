"""What the program finds for each source: functions from inputs in SI to numbers in SI by name.

They call the production functions and hold no expected number. Inputs come by name from the data files.
"""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

#: Numbers found, in SI by name; an array holds a single one.
Numbers = Mapping[str, float | NDArray[np.float64]]
