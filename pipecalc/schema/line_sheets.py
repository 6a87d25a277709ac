"""Sheets about the piping: Lines, Segments, Supports, States, Point loads."""

from pipecalc.schema.build_columns import choice, measured, number, reference, result, tag, text
from pipecalc.schema.column import Column, Kind, Sheet
from pipecalc.schema.flange_columns import bolt_allowable, flange_class, flange_group, flange_type

ITEMS = ("pipe", "valve", "flange", "rigid", "reducer", "expansion joint")
TURNS = ("long radius", "short radius", "bend", "mitre", "none")
BRANCHES = (
    "welding tee",
    "reinforced fabricated tee",
    "unreinforced fabricated tee",
    "welded-on fitting",
    "extruded outlet",
    "none",
)
WELDS = (
    "butt weld",
    "socket weld",
    "fillet weld",
    "slip-on flange, double welded",
    "lap-joint flange",
    "threaded joint",
)
SUPPORT_TYPES = (
    "anchor",
    "rest",
    "guide",
    "line stop",
    "rest and guide",
    "rest and line stop",
    "rest, guide and line stop",
    "hanger rod",
    "spring",
    "constant load",
    "strut",
    "snubber",
)
STRUCTURE = "structure"
ALL = "all"
ACTS_IN = ("always", "sustained", "operating", "occasional", "test")


def _nps(title: str, key: str, meaning: str, required: bool = False) -> Column:
    return Column(title, key, meaning, Kind.NPS, required=required)


def _remark() -> Column:
    return text("Remark", "remark", "Free text; printed with the inputs.", width=28.0)


LINES = Sheet(
    "Lines",
    "One row per line: what flows, in what pipe, how hot, and where it starts and ends.",
    (
        tag("Line", "line", "Line number.", required=True, width=14.0),
        text("Service", "service", "What flows in the line."),
        reference(
            "From",
            "from_",
            "Nozzle, or LINE/POINT of another line, where the line starts.",
            "Nozzles.nozzle",
            width=14.0,
        ),
        reference(
            "To",
            "to",
            "Nozzle, or LINE/POINT of another line, where the line ends.",
            "Nozzles.nozzle",
            width=14.0,
        ),
        _nps("NPS", "nps", "Nominal pipe size: 6, 1 1/2, or DN 150."),
        Column("Schedule", "schedule", "Schedule: 40, STD, XS, 10S.", Kind.SCHEDULE),
        measured(
            "size",
            "Outside diameter",
            "outside_diameter",
            "Overrides the diameter of the NPS.",
            low=5,
            high=5000,
            usual_low=10,
            usual_high=2000,
        ),
        measured(
            "size",
            "Wall thickness",
            "wall",
            "Overrides the wall of the schedule.",
            low=0,
            high=200,
            above_low=True,
            usual_low=1,
            usual_high=80,
        ),
        reference(
            "Material",
            "material",
            "Pipe material: a name of the built-in library or of the Materials sheet.",
            "Materials.material",
            required=True,
            width=14.0,
        ),
        measured(
            "size",
            "Corrosion allowance",
            "corrosion_allowance",
            "Lost from the inside wall over the line's life.",
            low=0,
            high=12,
            default=0.0,
            reports_default=True,
            usual_high=6,
        ),
        Column(
            "Mill tolerance",
            "mill_tolerance",
            "Under-tolerance of the wall: a share (12.5 %) or, with its own unit, a length (0.3 mm).",
            Kind.TOLERANCE,
            measured("share", "", "", "").dimension,
            "%",
            "%",
            low=0,
            high=50,
            default=0.125,
            reports_default=True,
        ),
        number(
            "Weld factor",
            "weld_factor",
            "Quality factor E of the longitudinal weld (seamless 1.00).",
            low=0,
            high=1,
            above_low=True,
            default=1.0,
            reports_default=True,
        ),
        measured(
            "density",
            "Fluid density",
            "fluid_density",
            "Density in operation, or the word water, steam or empty.",
            kind=Kind.DENSITY,
            words=("water", "steam", "empty"),
            required=True,
            low=0,
            high=20000,
            usual_high=2000,
        ),
        measured(
            "size",
            "Insulation thickness",
            "insulation_thickness",
            "Thickness around the pipe.",
            low=0,
            high=600,
            default=0.0,
            usual_high=300,
        ),
        measured(
            "density",
            "Insulation density",
            "insulation_density",
            "Density of insulation with its cladding.",
            low=0,
            high=2000,
            default=0.0,
            usual_high=400,
        ),
        measured(
            "temperature",
            "Design temperature",
            "design_temperature",
            "For wall thickness and allowable stress.",
            required=True,
            low=-270,
            high=1100,
        ),
        measured(
            "pressure",
            "Design pressure",
            "design_pressure",
            "Gauge; for wall thickness.",
            required=True,
            low=-1.1,
            high=3000,
        ),
        measured(
            "temperature",
            "Operating temperature",
            "operating_temperature",
            "Metal temperature in normal operation; drives expansion.",
            required=True,
            low=-270,
            high=1100,
        ),
        measured(
            "pressure",
            "Operating pressure",
            "operating_pressure",
            "Gauge, in normal operation; the design pressure where blank.",
            low=-1.1,
            high=3000,
        ),
        measured(
            "pressure",
            "Test pressure",
            "test_pressure",
            "Gauge; blank where no test case is wanted.",
            low=0,
            high=4000,
        ),
        number(
            "Stress cycles",
            "cycles",
            "Full cycles of this line's range; the project's where blank.",
            low=0,
            high=1e8,
        ),
        text(
            "Start point",
            "start_point",
            "Point whose coordinates follow; only where no nozzle places the line.",
            width=10.0,
        ),
        measured("coordinate", "Start East", "start_east", "East of the start point.", low=-1e5, high=1e5),
        measured("coordinate", "Start North", "start_north", "North of the start point.", low=-1e5, high=1e5),
        measured("coordinate", "Start Up", "start_up", "Elevation of the start point.", low=-1e5, high=1e5),
        flange_class("Pressure class of the flanges in the line, where a row of Segments gives no other."),
        flange_group("that of the pipe's material"),
        flange_type("not known"),
        bolt_allowable("not known"),
        number(
            "Weld strength reduction",
            "weld_strength",
            "Factor W at design temperature, for pipe hot enough to creep; needed only where the built-in rule ends.",
            low=0,
            high=1,
            above_low=True,
        ),
        _remark(),
    ),
    required=True,
    unique=("line",),
)

SEGMENTS = Sheet(
    "Segments",
    "One row per straight run, from intersection point to intersection point, in the order of the line.",
    (
        reference("Line", "line", "The line this run belongs to.", "Lines.line", required=True, width=14.0),
        text("From", "from_", "Point at the start; blank continues from the row above.", width=9.0),
        text("To", "to", "Point at the end.", required=True, width=9.0),
        measured(
            "coordinate",
            "East",
            "east",
            "Run towards East (negative towards West).",
            low=-2000,
            high=2000,
            default=0.0,
        ),
        measured(
            "coordinate",
            "North",
            "north",
            "Run towards North (negative towards South).",
            low=-2000,
            high=2000,
            default=0.0,
        ),
        measured("coordinate", "Up", "up", "Run upward (negative downward).", low=-2000, high=2000, default=0.0),
        choice("Item", "item", "What the run is; pipe where blank.", *ITEMS, default="pipe"),
        measured(
            "mass",
            "Mass",
            "mass",
            "Mass of a valve, flange or rigid item, or extra mass; acts at the middle.",
            low=0,
            high=200000,
            usual_high=20000,
        ),
        choice(
            "Turn at To",
            "turn",
            "How the line turns at To; the project's default elbow where blank and the direction changes.",
            *TURNS,
        ),
        measured(
            "size",
            "Bend radius",
            "bend_radius",
            "Centreline radius of a bend or mitre; overrides that of an elbow.",
            low=0,
            high=50000,
            above_low=True,
        ),
        Column("Mitre cuts", "mitre_cuts", "Number of cuts of a mitre bend.", Kind.COUNT, low=1, high=12),
        choice("Branch at To", "branch", "Kind of branch connection where another line joins at To.", *BRANCHES),
        measured("size", "Pad thickness", "pad_thickness", "Reinforcing pad of a fabricated tee.", low=0, high=100),
        measured("size", "Pad width", "pad_width", "From the branch's outside to the pad's edge.", low=0, high=1000),
        _nps("NPS at To", "nps_at_to", "Size at the far end of a reducer; the pipe after it has this size."),
        Column(
            "Schedule",
            "schedule",
            "Overrides the line's from this row on to the end of the row.",
            Kind.SCHEDULE,
        ),
        measured(
            "size",
            "Wall thickness",
            "wall",
            "Overrides the line's for this row.",
            low=0,
            high=200,
            above_low=True,
            usual_low=1,
            usual_high=80,
        ),
        reference("Material", "material", "Overrides the line's for this row.", "Materials.material", width=14.0),
        measured(
            "temperature",
            "Temperature",
            "temperature",
            "Overrides the line's operating temperature for this row.",
            low=-270,
            high=1100,
        ),
        number(
            "Own factor in-plane",
            "own_i_in",
            "Stress intensification in-plane at To; wins over the computed one.",
            low=1,
            high=50,
        ),
        number(
            "Own factor out-of-plane",
            "own_i_out",
            "Stress intensification out-of-plane at To; wins over the computed one.",
            low=1,
            high=50,
        ),
        number(
            "Own flexibility factor",
            "own_k",
            "Flexibility factor of the turn at To, or of the branch there; wins over the computed one.",
            low=1,
            high=500,
        ),
        measured(
            "stiffness",
            "Joint axial stiffness",
            "joint_axial",
            "Expansion joint: axial spring rate.",
            low=0,
            high=1e9,
        ),
        measured(
            "stiffness",
            "Joint lateral stiffness",
            "joint_lateral",
            "Expansion joint: lateral spring rate.",
            low=0,
            high=1e9,
        ),
        measured(
            "angular stiffness",
            "Joint angular stiffness",
            "joint_angular",
            "Expansion joint: angular spring rate.",
            low=0,
            high=1e9,
        ),
        measured(
            "area",
            "Joint effective area",
            "joint_area",
            "Expansion joint: area on which the pressure thrust acts.",
            low=0,
            high=1e6,
        ),
        flange_class("Flange items: pressure class; the line's where blank."),
        flange_group("the line's, else that of the pipe's material"),
        Column(
            "Flanged ends",
            "flanged_ends",
            "Ends of the turn at To with a flange welded directly to them: 0, 1 or 2.",
            Kind.COUNT,
            low=0,
            high=2,
            width=9.0,
        ),
        choice("Weld at To", "weld", "Kind of weld or joint at To, where it is not a butt weld.", *WELDS, width=9.0),
        _remark(),
        result(measured("coordinate", "length", "result_length", "Length between the intersection points.", digits=3)),
        result(
            measured(
                "size",
                "free expansion",
                "result_expansion",
                "Growth of the run if nothing held it, in the governing state.",
                digits=2,
            )
        ),
        result(
            measured(
                "size",
                "leg displacement to absorb",
                "result_absorbs",
                "Sideways displacement that the leg with this run must absorb.",
                digits=2,
            )
        ),
        result(
            measured(
                "coordinate",
                "leg length needed",
                "result_needed",
                "Length that the leg needs by the guided cantilever method.",
                digits=3,
            )
        ),
        result(
            measured(
                "flexibility value",
                "quick-check value (B31.3 319.4.1)",
                "result_quick",
                "D·y/(L-U)² of the run's part of the line.",
                digits=1,
            )
        ),
        result(
            measured(
                "size",
                "wall needed",
                "result_wall",
                "Nominal wall needed for pressure with allowances.",
                digits=2,
            )
        ),
        result(number("sustained ratio", "result_sustained", "Sustained stress over its limit.", digits=2)),
        result(
            number(
                "displacement range ratio",
                "result_range",
                "Displacement stress range over its limit.",
                digits=2,
            )
        ),
        result(
            number(
                "occasional ratio",
                "result_occasional",
                "Sustained with occasional stress over its limit.",
                digits=2,
            )
        ),
        result(number("test ratio", "result_test", "Test stress over its limit.", digits=2)),
        result(number("span ratio", "result_span", "Distance between supports over the allowed span.", digits=2)),
        result(text("governing check", "result_governing", "The check with the highest ratio.", width=24.0)),
        result(text("status", "result_status", "PASS, FAIL, NOT CHECKED or NOT APPLICABLE.", width=16.0)),
    ),
    required=True,
    named_by=("line", "from_", "to"),
)

SUPPORTS = Sheet(
    "Supports",
    "One row per support.",
    (
        tag("Support", "support", "Support number.", required=True),
        reference("Line", "line", "The line it holds.", "Lines.line", required=True, width=14.0),
        text("Point", "point", "The point of that line.", required=True, width=9.0),
        choice("Type", "type", "What it does.", *SUPPORT_TYPES, required=True, width=24.0),
        Column(
            "Direction",
            "direction",
            'Direction it acts in, where not the pipe\'s own: "+E", "az 30 el -15" or "0.6, 0.8, 0".',
            Kind.DIRECTION,
        ),
        measured("size", "Gap", "gap", "Free play on each side.", low=0, high=500, default=0.0, usual_high=100),
        number(
            "Friction",
            "friction",
            "Friction coefficient; the project's where blank.",
            low=0,
            high=1,
            usual_high=0.6,
        ),
        measured(
            "stiffness",
            "Stiffness",
            "stiffness",
            "Stiffness of the support; stiff where blank.",
            low=0,
            high=1e9,
            above_low=True,
        ),
        reference(
            "Attached to",
            "attached_to",
            "structure, or an equipment tag: the support then moves with the shell.",
            "Equipment.equipment",
            words=(STRUCTURE,),
            default=STRUCTURE,
        ),
        measured(
            "stiffness",
            "Spring rate",
            "spring_rate",
            "Rate of a spring; designed where blank.",
            low=0,
            high=1e6,
            above_low=True,
        ),
        measured(
            "force",
            "Spring load (hot)",
            "spring_load",
            "Load of a spring or constant-load support in the operating state.",
            low=0,
            high=1e7,
            above_low=True,
        ),
        measured(
            "force",
            "Allowable vertical",
            "allowable_vertical",
            "Largest vertical load the structure accepts.",
            low=0,
            high=1e8,
            above_low=True,
        ),
        measured(
            "force",
            "Allowable horizontal",
            "allowable_horizontal",
            "Largest horizontal load the structure accepts.",
            low=0,
            high=1e8,
            above_low=True,
        ),
        measured(
            "size",
            "Attachment radius",
            "attachment_radius",
            "On equipment: radius of the circle that stands for clip, bracket or trunnion, at the edge of its pad.",
            low=0,
            high=5000,
            above_low=True,
        ),
        measured(
            "size",
            "Attachment arm",
            "attachment_arm",
            "On equipment: from the shell to where the load acts; blank: the distance of the point from the shell.",
            low=0,
            high=20000,
        ),
        _remark(),
        result(
            measured(
                "load",
                "vertical, sustained",
                "result_vertical_sustained",
                "Vertical load from weight and pressure, cold.",
                digits=2,
            )
        ),
        result(
            measured(
                "load",
                "lateral, sustained",
                "result_lateral_sustained",
                "Lateral load from weight and pressure, cold.",
                digits=2,
            )
        ),
        result(
            measured(
                "load",
                "axial, sustained",
                "result_axial_sustained",
                "Axial load from weight and pressure, cold.",
                digits=2,
            )
        ),
        result(
            measured(
                "load",
                "vertical, states",
                "result_vertical_operating",
                "Largest vertical load of the thermal states.",
                digits=2,
            )
        ),
        result(
            measured(
                "load",
                "lateral, states",
                "result_lateral_operating",
                "Largest lateral load of the thermal states.",
                digits=2,
            )
        ),
        result(
            measured(
                "load",
                "axial, states",
                "result_axial_operating",
                "Largest axial load of the thermal states.",
                digits=2,
            )
        ),
        result(
            measured(
                "load",
                "vertical, occasional",
                "result_vertical_occasional",
                "Largest vertical load of the occasional cases.",
                digits=2,
            )
        ),
        result(
            measured(
                "load",
                "lateral, occasional",
                "result_lateral_occasional",
                "Largest lateral load of the occasional cases.",
                digits=2,
            )
        ),
        result(
            measured(
                "load",
                "axial, occasional",
                "result_axial_occasional",
                "Largest axial load of the occasional cases.",
                digits=2,
            )
        ),
        result(
            measured(
                "load",
                "vertical, test",
                "result_vertical_test",
                "Vertical load in the pressure test.",
                digits=2,
            )
        ),
        result(
            measured("load", "lateral, test", "result_lateral_test", "Lateral load in the pressure test.", digits=2)
        ),
        result(measured("load", "axial, test", "result_axial_test", "Axial load in the pressure test.", digits=2)),
        result(
            measured(
                "size",
                "movement East",
                "result_move_east",
                "Movement of the pipe at the support, governing state.",
                digits=1,
            )
        ),
        result(
            measured(
                "size",
                "movement North",
                "result_move_north",
                "Movement of the pipe at the support, governing state.",
                digits=1,
            )
        ),
        result(
            measured(
                "size",
                "movement Up",
                "result_move_up",
                "Movement of the pipe at the support, governing state.",
                digits=1,
            )
        ),
        result(text("lifts off", "result_lifts", "States in which the pipe leaves a rest.", width=16.0)),
        result(measured("force", "spring hot load", "result_spring_hot", "Load in the operating state.", digits=0)),
        result(measured("force", "spring cold load", "result_spring_cold", "Load as installed.", digits=0)),
        result(measured("size", "travel", "result_travel", "Movement of the spring from cold to hot.", digits=1)),
        result(
            measured(
                "share",
                "load variation",
                "result_variation",
                "Rate times travel over the hot load.",
                digits=1,
            )
        ),
        result(text("status", "result_status", "PASS, FAIL, NOT CHECKED or NOT APPLICABLE.", width=16.0)),
    ),
    unique=("support",),
)

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
        _remark(),
    ),
    unique=("load",),
)
