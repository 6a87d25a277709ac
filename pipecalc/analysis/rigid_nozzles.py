"""Loads on nozzles of flexible shells as they would be on rigid ones, for comparison."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import nan

import numpy as np

from pipecalc.analysis.frame import FrameRun, run_frame
from pipecalc.analysis.frame_results import frame_nozzle_loads
from pipecalc.analysis.legs import nozzle_load
from pipecalc.analysis.nozzle_stiffness import nozzle_stiffness
from pipecalc.model import Plant
from pipecalc.results import NozzleLoad

#: Method of loads that only stand beside those of the frame: no check takes them.
METHOD = "frame, rigid nozzle"


def rigid_nozzle_loads(plant: Plant, run: FrameRun, found: Sequence[NozzleLoad]) -> Iterator[NozzleLoad]:
    """Loads on nozzles whose shell gives way, from the frame solved once more with every nozzle rigid.

    Args:
        plant: The plant with its springs as designed.
        run: The frame as it is.
        found: Loads of the frame as it is; each gets one beside it, of NaN where the rigid frame does not settle.
    """
    flexible = {nozzle.name for nozzle in plant.nozzles.values() if nozzle_stiffness(nozzle, plant).gives_way}
    if not flexible:
        return
    rigid = {name: replace(nozzle, stiffness_model="rigid") for name, nozzle in plant.nozzles.items()}
    stiff = replace(plant, nozzles=rigid)
    beside = {(x.nozzle, x.case): x for x in frame_nozzle_loads(run_frame(stiff, run), stiff, METHOD)}
    unknown = np.full(3, nan)
    for load in found:
        if load.nozzle in flexible:
            key = (load.nozzle, load.case)
            yield beside.get(key) or nozzle_load(*key, unknown, unknown, plant, METHOD)
