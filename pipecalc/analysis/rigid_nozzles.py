"""Loads on nozzles of flexible shells as they would be on rigid ones, for comparison."""

from collections.abc import Iterator
from dataclasses import replace

from pipecalc.analysis.frame import run_frame
from pipecalc.analysis.frame_results import frame_nozzle_loads
from pipecalc.analysis.nozzle_stiffness import nozzle_stiffness
from pipecalc.model import Plant
from pipecalc.results import NozzleLoad

#: Method of loads that only stand beside those of the frame: no check takes them.
METHOD = "frame, rigid nozzle"


def rigid_nozzle_loads(plant: Plant) -> Iterator[NozzleLoad]:
    """Loads on nozzles whose shell gives way, from the frame solved once more with every nozzle rigid.

    Args:
        plant: The plant with its springs as designed.
    """
    flexible = {nozzle.name for nozzle in plant.nozzles.values() if nozzle_stiffness(nozzle, plant).gives_way}
    if not flexible:
        return
    rigid = {name: replace(nozzle, stiffness_model="rigid") for name, nozzle in plant.nozzles.items()}
    stiff = replace(plant, nozzles=rigid)
    for load in frame_nozzle_loads(run_frame(stiff), stiff, METHOD):
        if load.nozzle in flexible:
            yield load
