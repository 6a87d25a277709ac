"""Hand methods: growth, guided cantilever, quick check, movement of a vessel's nozzle."""

from datetime import date

from pipecalc.analysis.equipment import nozzle_movement
from pipecalc.calc import leg, quick_check
from pipecalc.calc.expansion import free_growth, restrained_stress, restrained_thrust, strain_from_coefficient
from pipecalc.calc.section import moment_of_inertia
from pipecalc.verification.models import Numbers
from pipecalc.verification.models.plants import anchor, plant_of, rows, solved


def guided_leg(D: float, T: float, L: float, delta: float, E: float) -> Numbers:
    """A leg moved at its end: guided, and with the end free to turn."""
    inertia = moment_of_inertia(D, T)
    return {
        "I": inertia,
        "F": leg.cantilever_force(E, inertia, L, delta),
        "M": leg.cantilever_moment(E, inertia, L, delta),
        "S": leg.cantilever_stress(E, D, L, delta),
        "F, end free to turn": leg.propped_force(E, inertia, L, delta),
        "M, end free to turn": leg.propped_moment(E, inertia, L, delta),
    }


def needed_length(E: float, D: float, delta: float, S: float) -> Numbers:
    """Length that a leg needs."""
    return {"L": leg.required_length(E, D, delta, 1.0, S)}


def leg_stress(E: float, D: float, L: float, delta: float) -> Numbers:
    """Bending stress of a guided leg."""
    return {"S": leg.cantilever_stress(E, D, L, delta)}


def restrained_pipe(alpha: float, t_1: float, t_2: float, L: float, E: float, A: float) -> Numbers:
    """Growth of a pipe, and stress and thrust where it is held."""
    strain = strain_from_coefficient(alpha, t_2 - t_1)
    return {
        "growth": free_growth(strain, L),
        "stress": restrained_stress(E, strain),
        "thrust": restrained_thrust(E, A, strain),
    }


def zone_growth(alpha: float, t_1: float, t_2: float, L: float) -> Numbers:
    """Growth of one zone of a vessel."""
    return {"growth": free_growth(strain_from_coefficient(alpha, t_2 - t_1), L)}


def column_nozzle() -> Numbers:
    """Movement of a nozzle on an invented column: skirt, two zones of the shell, radius; through a workbook."""
    metals = [
        {"material": name, "temperature": t, "modulus": 200, "expansion": alpha, "allowable": 120,
         "yield_strength": 240, "density": 7850, "source": "chosen for the check"}
        for name, alpha in (("Skirt", 11.8), ("Lower shell", 12.5), ("Upper shell", 12.0))
        for t in (-50, 20, 320)
    ]  # fmt: skip
    zones = [
        {"equipment": "C-1", "zone": name, "from_": a, "to": b, "temperature": t, "material": name}
        for name, a, b, t in (("Lower shell", 5, 17, 230), ("Upper shell", 17, 35, 160))
    ]
    plant = plant_of({
        "Project": [{"title": "Column", "date": date(2025, 1, 1), "edition": "2018", "installation_temperature": 21}],
        "Lines": [{"line": "L", "nps": 6, "schedule": "40", "material": "A106 B", "fluid_density": 0,
                   "design_temperature": 200, "design_pressure": 1, "operating_temperature": 150}],
        "Segments": [{"line": "L", "from_": "1", "to": "2", "east": 3}],
        "Supports": [{"line": "L", "support": "A", "point": "2", "type": "anchor"}],
        "Equipment": [{"equipment": "C-1", "kind": "vertical on skirt", "base_east": 0, "base_north": 0, "base_up": 0,
                       "outside_diameter": 2000, "wall": 12, "material": "Skirt", "temperature": 120,
                       "support_temperature": 120, "support_height": 5}],
        "Zones": zones,
        "Nozzles": [{"nozzle": "N1", "equipment": "C-1", "nps": 6, "east": 1.4, "north": 0, "up": 25,
                     "direction": "+E", "line": "L", "point": "1"}],
        "Materials": metals,
    })  # fmt: skip
    move = nozzle_movement(plant.nozzles["N1"], plant, plant.states[0])
    by_term = dict(zip(("skirt", "lower shell", "upper shell", "radius"), (t.up for t in move.terms), strict=True))
    return {**by_term, "up": move.up, "east": move.east, "north": move.north}


def quick(D: float, L: float, U: float, y: float) -> Numbers:
    """The quick check of a line: its value, and value over the older fixed limit."""
    return {"D y/(L - U)²": quick_check.quick_check_value(D, y, L, U)}


def quick_limits(S_A: float, E_a: float) -> Numbers:
    """The limit in SI and US form, and the SI constant over the US one."""
    return {
        "limit": quick_check.quick_check_limit(S_A, E_a),
        "US limit": quick_check.quick_check_limit_us(S_A, E_a),
        "printed SI constant": quick_check.K_PRINTED_SI,
        "US constant": quick_check.K_US / quick_check.MM_PER_M_SQUARED,
    }


def quick_limits_us(S_A: float, E_a: float) -> Numbers:
    """The same limit by the US constant."""
    return {"limit": quick_check.quick_check_limit_us(S_A, E_a)}


def legs_of_line(first: float, across: float, second: float, t: float) -> Numbers:
    """A line North, East and North again between two anchors, of one bend radius: the legs that take its growth East.

    Without a first leg the line is an L. Each leg's displacement, force, end moment and stress, the longer one last.
    """
    turn = {"turn": "bend", "bend_radius": 228.6}
    runs = [{"to": "2", "north": first, **turn}] if first else []
    runs += [{"to": "3", "east": across, **turn}, {"to": "4", "north": second}]
    runs[0]["from_"] = "1"
    book = rows(runs, [anchor("A", "1"), anchor("B", "4")], line={"operating_temperature": t})
    found = sorted((x for x in solved(book).results.legs if x.direction == "East"), key=lambda x: x.length)
    names = ("first leg", "second leg") if first else ("leg",)
    return {
        f"{name}, {what}": value
        for name, leg_ in zip(names, found, strict=True)
        for what, value in (
            ("absorbs", leg_.absorbs), ("force", leg_.force), ("moment", leg_.moment), ("stress", leg_.stress),
            ("needed length", leg_.length_needed), ("i", leg_.intensification), ("limit", leg_.limit),
        )
    }  # fmt: skip
