"""Loads of the site: earthquake coefficients and wind."""

from pipecalc.calc import seismic
from pipecalc.verification.models import Numbers
from pipecalc.verification.models.plants import anchor, plant_of, rows


def coefficient_2016(S_DS: float, a_p: float, R_p: float, I_p: float, z: float, h: float) -> Numbers:
    """Coefficients of a component, ASCE 7-10 and 7-16."""
    return {
        "horizontal": seismic.horizontal_coefficient_2016(S_DS, a_p, R_p, I_p, z, h),
        "vertical": seismic.vertical_coefficient(S_DS),
    }


def height_2022(z: float, h: float, T_a: float) -> Numbers:
    """Height factor at a known period of the building, ASCE 7-22."""
    return {"H_f": seismic.height_factor_2022(z, h, T_a)}


def height_2022_unknown(z: float, h: float) -> Numbers:
    """Height factor where the period is not known, ASCE 7-22."""
    return {"H_f": seismic.height_factor_2022_unknown_period(z, h)}


def ductility_2022(R: float, I_e: float, Omega_0: float) -> Numbers:
    """Ductility factor of the building, ASCE 7-22."""
    return {"R_mu": seismic.ductility_factor_2022(R, I_e, Omega_0)}


def line_2022(z: float, h: float, T_a: float, R: float, I_e: float, Omega_0: float) -> Numbers:
    """Horizontal coefficient with both factors as they are found."""
    H_f, R_mu = seismic.height_factor_2022(z, h, T_a), seismic.ductility_factor_2022(R, I_e, Omega_0)
    return {"horizontal": seismic.horizontal_coefficient_2022(1.0, 1.0, H_f, R_mu, C_AR=1.0, R_po=1.0)}


def coefficient_2022(S_DS: float, I_p: float, H_f: float, R_mu: float, C_AR: float, R_po: float) -> Numbers:
    """Horizontal coefficient from given factors."""
    return {"horizontal": seismic.horizontal_coefficient_2022(S_DS, I_p, H_f, R_mu, C_AR=C_AR, R_po=R_po)}


def exposure(exposure: str, z: float) -> Numbers:
    """Exposure coefficient of the wind at a height."""
    terrain = seismic.EXPOSURES_2016[exposure]
    return {"K_z": seismic.exposure_coefficient_2016(z, terrain.alpha, terrain.gradient_height)}


def wind_pressure(V: float) -> Numbers:
    """Velocity pressure with all coefficients 1."""
    return {"pressure": seismic.velocity_pressure(1.0, 1.0, 1.0, 1.0, V)}


def project_coefficients(standard: str, S_DS: float, z_h: float, I_p: float, a_p: float, R_p: float) -> Numbers:
    """Coefficients that a workbook's site values give, at the level of allowable stresses."""
    project = {
        "seismic_standard": standard, "S_DS": S_DS, "height_ratio": z_h, "importance": I_p, "amplification": a_p,
        "response_factor": R_p, "structure_ductility": 1.3,
    }  # fmt: skip
    made = plant_of(rows([{"from_": "1", "to": "2", "east": 8.0}], [anchor("A", "1")], project=project)).project
    return {"horizontal": made.seismic_horizontal or 0.0, "vertical": made.seismic_vertical or 0.0}
