"""The sheet of supports."""

from pipecalc.schema.build_columns import choice, measured, number, reference, remark, result, tag, text
from pipecalc.schema.column import Column, Kind, Sheet

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
        remark(),
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
