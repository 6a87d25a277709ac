"""Sheets about what acts on the piping: States, Point loads."""

from pipecalc.schema.build_columns import choice, measured, number, reference, remark, tag, text
from pipecalc.schema.column import Kind, Sheet

ALL = "all"
ACTS_IN = ("always", "sustained", "operating", "occasional", "test")

STATES = Sheet(
    "States",
    "Thermal states beyond the operating one on Lines; one row per thing that differs.",
    (
        text("State", "state", "Name of the state; several rows may share it.", required=True),
        reference(
            "Applies to",
            "applies_to",
            'A line, an equipment tag, "EQUIPMENT/zone name", or "all".',
            "Lines.line",
            "Equipment.equipment",
            words=(ALL,),
            required=True,
            width=18.0,
        ),
        measured(
            "temperature",
            "Temperature",
            "temperature",
            "Metal temperature in this state.",
            low=-270,
            high=1100,
        ),
        measured("pressure", "Pressure", "pressure", "Gauge pressure in this state.", low=-1.1, high=3000),
        measured(
            "density",
            "Fluid density",
            "fluid_density",
            "Density in this state, or the word water, steam or empty.",
            kind=Kind.DENSITY,
            words=("water", "steam", "empty"),
            low=0,
            high=20000,
        ),
        number("Cycles", "cycles", "How often the state is reached over the plant's life.", low=0, high=1e8),
    ),
    unique=("state", "applies_to"),
)

POINT_LOADS = Sheet(
    "Point loads",
    "Masses, forces and moments at points: instruments, actuators, relief-valve or slug forces.",
    (
        tag("Load", "load", "Name of the load.", required=True),
        reference("Line", "line", "The line it acts on.", "Lines.line", required=True, width=14.0),
        text("Point", "point", "The point of that line.", required=True, width=9.0),
        measured("mass", "Mass", "mass", "Acts as weight in every case.", low=0, high=200000),
        measured("force", "Force East", "force_east", "Force on the pipe.", low=-1e8, high=1e8),
        measured("force", "Force North", "force_north", "Force on the pipe.", low=-1e8, high=1e8),
        measured("force", "Force Up", "force_up", "Force on the pipe.", low=-1e8, high=1e8),
        measured("moment", "Moment East", "moment_east", "Moment on the pipe about East.", low=-1e8, high=1e8),
        measured("moment", "Moment North", "moment_north", "Moment on the pipe about North.", low=-1e8, high=1e8),
        measured("moment", "Moment Up", "moment_up", "Moment on the pipe about Up.", low=-1e8, high=1e8),
        choice("Acts in", "acts_in", "Cases in which force and moment act.", *ACTS_IN, default="always"),
        remark(),
    ),
    unique=("load",),
)
