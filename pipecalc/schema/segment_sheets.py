"""The sheet of runs: one row for each straight run of a line."""

from pipecalc.schema.build_columns import choice, measured, nps, number, reference, remark, result, text
from pipecalc.schema.column import Column, Kind, Sheet
from pipecalc.schema.flange_columns import flange_class, flange_group

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
        nps("NPS at To", "nps_at_to", "Size at the far end of a reducer; the pipe after it has this size."),
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
        remark(),
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
