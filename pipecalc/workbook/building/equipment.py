"""Equipment, zones, nozzles and allowable sets from their rows."""

from collections import defaultdict
from collections.abc import Mapping

import numpy as np

from pipecalc import pipe_sizes
from pipecalc.model import AllowableRow, Equipment, FlangeFacts, Nozzle, Vector, Zone
from pipecalc.workbook.building.materials import MaterialBook
from pipecalc.workbook.rows import Book, Row

UP: Vector = (0.0, 0.0, 1.0)
NORTH: Vector = (0.0, 1.0, 0.0)
HORIZONTAL = "horizontal on saddles"
_PARALLEL = 1.0 - 1e-6


def build_equipment(book: Book, materials: MaterialBook) -> dict[str, Equipment]:
    """Items by tag; rows with errors are left out."""
    zones: dict[str, list[Row]] = defaultdict(list)
    for row in book.rows["Zones"]:
        if not row.bad:
            zones[str(row["equipment"])].append(row)
    made = {}
    for row in book.rows["Equipment"]:
        if not row.bad:
            item = _item(row, zones[str(row["equipment"])], materials)
            if item is not None:
                made[item.name] = item
    return made


def _item(row: Row, zone_rows: list[Row], materials: MaterialBook) -> Equipment | None:
    material = materials.find(str(row["material"]))
    if material is None:
        return None
    zones = [zone for zone in (_zone(r, material.name, materials) for r in zone_rows) if zone is not None]
    return Equipment(
        name=str(row["equipment"]),
        kind=str(row["kind"]),
        base=(row["base_east"], row["base_north"], row["base_up"]),
        axis=row["axis"] if row["kind"] == HORIZONTAL and row["axis"] is not None else UP,
        centreline_height=row["centreline_height"],
        outside_diameter=row["outside_diameter"],
        wall=row["wall"],
        material=material,
        temperature=row["temperature"],
        support_temperature=row["support_temperature"],
        support_height=row["support_height"],
        design_temperature=row["design_temperature"],
        settlement=row["settlement"] or 0.0,
        sway_east=row["sway_east"],
        sway_north=row["sway_north"],
        zones=tuple(sorted(zones, key=lambda zone: zone.start)),
        remark=row["remark"] or "",
        source=row.address(),
        design_pressure=row["design_pressure"],
        corrosion_allowance=row["corrosion_allowance"],
        crown_radius=row["crown_radius"],
        head_wall=row["head_wall"],
        machine_axis=row["machine_axis"],
        machine_centre=_machine_centre(row),
        exhaust=row["exhaust"] or "",
    )


def _machine_centre(row: Row) -> Vector | None:
    """All three coordinates; a part of them is an error of the rules."""
    east, north, up = row["centre_east"], row["centre_north"], row["centre_up"]
    return None if None in (east, north, up) else (east, north, up)


def _zone(row: Row, default_material: str, materials: MaterialBook) -> Zone | None:
    material = materials.find(str(row["material"] or default_material))
    if material is None:
        return None
    return Zone(
        name=row["zone"] or "",
        start=row["from_"],
        end=row["to"],
        temperature=row["temperature"],
        material=material,
        wall=row["wall"],
        source=row.address(),
    )


def build_nozzles(book: Book, equipment: Mapping[str, Equipment]) -> dict[str, Nozzle]:
    """Nozzles by tag, those whose item is sound."""
    rows = [r for r in book.rows["Nozzles"] if not r.bad and str(r["equipment"]) in equipment]
    return {str(row["nozzle"]): _nozzle(row, equipment[str(row["equipment"])]) for row in rows}


def _nozzle(row: Row, item: Equipment) -> Nozzle:
    point = (str(row["line"]), str(row["point"])) if row["line"] and row["point"] else None
    return Nozzle(
        name=str(row["nozzle"]),
        equipment=item.name,
        nps=row["nps"],
        outside_diameter=pipe_sizes.outside_diameter(row["nps"]),
        flange_class=row["flange_class"] or "",
        at=(row["east"], row["north"], row["up"]),
        direction=row["direction"],
        axes=nozzle_axes(row["direction"], item),
        point=point,
        projection=row["projection"],
        pad_thickness=row["pad_thickness"],
        pad_width=row["pad_width"],
        vendor_move=(row["move_east"], row["move_north"], row["move_up"]),
        stiffness_model=row["stiffness_model"],
        sets=tuple(row["allowable_sets"] or ()),
        allowable_factor=row["allowable_factor"],
        remark=row["remark"] or "",
        source=row.address(),
        flange=FlangeFacts(
            row["flange_class"] or "",
            group_number(row["flange_group"]),
            row["flange_type"] or "",
            row["bolt_allowable"],
            row["gasket_diameter"],
        ),
        neck_wall=row["neck_wall"],
        header=row["header"] or "",
        radial_stiffness=row["radial_stiffness"],
        stiffness_l=row["stiffness_l"],
        stiffness_c=row["stiffness_c"],
    )


def group_number(word: str | None) -> str:
    """Material group as the tables have it: ``"group 1.10"`` is ``"1.10"``."""
    return (word or "").removeprefix("group ")


def nozzle_axes(direction: Vector, item: Equipment) -> tuple[Vector, Vector, Vector]:
    """Unit vectors R, L, C of a nozzle: R outward, L along the item's axis made square to R, C = R x L."""
    radial = np.asarray(direction, dtype=float)
    along = np.asarray(item.axis, dtype=float)
    if abs(radial @ along) > _PARALLEL:
        along = np.asarray(UP if item.kind == HORIZONTAL else NORTH, dtype=float)
    square = along - (along @ radial) * radial
    longitudinal = square / np.linalg.norm(square)
    circumferential = np.cross(radial, longitudinal)
    return _vector(radial), _vector(longitudinal), _vector(circumferential)


def _vector(array: np.ndarray) -> Vector:
    return (float(array[0]), float(array[1]), float(array[2]))


def build_allowables(book: Book) -> dict[str, tuple[AllowableRow, ...]]:
    """Rows of vendor sets by set name."""
    grouped: dict[str, list[AllowableRow]] = defaultdict(list)
    for row in book.rows["Allowables"]:
        if not row.bad:
            grouped[str(row["set"])].append(_allowable(row))
    return {name: tuple(rows) for name, rows in grouped.items()}


def _allowable(row: Row) -> AllowableRow:
    return AllowableRow(
        set=str(row["set"]),
        nps=row["nps"],
        limits={name: row[name] for name in ("FR", "FL", "FC", "MR", "ML", "MC")},
        force=row["resultant_force"],
        moment=row["resultant_moment"],
        rule=row["rule"],
        document=row["document"],
        source=row.address(),
    )
