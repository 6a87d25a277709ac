"""Spans, weights, columns and springs."""

from math import pi

from pipecalc import pipe_sizes, tables
from pipecalc.analysis.spans import published_spans
from pipecalc.calc import span, span_loads
from pipecalc.calc.column import guide_spacing_by_buckling, standing_height
from pipecalc.calc.section import PipeSection
from pipecalc.calc.spring import largest_rate, spring_cold_load, spring_variation
from pipecalc.calc.weight import line_mass
from pipecalc.verification.models import Numbers

_STEEL = 7850.0  # kg/m³
_MODULUS = 203e9  # Pa
_TABLE = "spans_mss_sp_58"


def loaded_pipe(NPS: float, D: float, T: float, L: float) -> Numbers:
    """Mass of pipe and water, and bending at a span: w L²/10 Z."""
    section = PipeSection(D, T)
    mass = line_mass(D, T, _STEEL, 1000.0)
    return {
        "pipe": mass.metal,
        "water": mass.contents,
        "stress": span.span_stress(mass.weight, L, section.section_modulus, 10.0),
    }


def printed_spans(NPS: float) -> Numbers:
    """Spans of the shipped table, printed in whole feet, and as the check reads them."""
    row = tables.load(_TABLE).where("NPS [-]", f"{NPS:g}").rows[0]
    read = published_spans(NPS)
    return {
        "span, water": tables.number(row["span water [ft]"]) * 0.3048,
        "span, gas": tables.number(row["span gas [ft]"]) * 0.3048,
        "span read, water": read["published span, water"],
        "span read, gas": read["published span, gas"],
    }


def own_spans(NPS: float, density: float, stress: float, sag: float) -> Numbers:
    """Spans of the check for standard wall pipe, by stress, by sag, and the smaller one."""
    section = PipeSection(pipe_sizes.outside_diameter(NPS), pipe_sizes.wall(NPS, "STD"))
    w = line_mass(section.outside_diameter, section.wall, _STEEL, density).weight
    ends = span.END_CONDITIONS["continuous"]
    by_stress = span_loads.loaded_span_by_stress(stress, section.section_modulus, w, ends.n, 0.0)
    by_sag = span_loads.loaded_span_by_sag(sag, _MODULUS, section.moment_of_inertia, w, ends.c, 0.0)
    return {"span by stress": by_stress, "span by sag": by_sag, "span": min(by_stress, by_sag)}


def table_basis() -> Numbers:
    """Stress and sag on which the published table rests."""
    return {"stress": span.PUBLISHED_STRESS, "sag": span.PUBLISHED_SAG}


def column(E: float, I: float, P: float, K: float) -> Numbers:
    """Spacing of guides at which a pipe under thrust buckles, with a factor of safety."""
    return {"spacing": guide_spacing_by_buckling(E, I, P, K)}


def standing_pipe(E: float, I: float, w: float, K: float) -> Numbers:
    """Height at which a free-standing pipe buckles under its own weight."""
    return {"height": standing_height(E, I, w, K)}


def spring(P: float, R: float, travel: float) -> Numbers:
    """A spring by hand."""
    return {
        "cold load": spring_cold_load(P, R, travel),
        "variation": spring_variation(P, R, travel),
        "largest rate at 25 %": largest_rate(P, 0.25, abs(travel)),
    }


def load_on_span(E: float, I: float, L: float, P: float) -> Numbers:
    """A load at mid-span of a simple beam without weight."""
    sag_share = span_loads.load_sag_share(0.5)
    return {
        "moment over P L": span_loads.load_moment_share(0.5),
        "sag over P L³/E I": sag_share,
        "sag": span_loads.loaded_span_sag(0.0, L, E, I, 76.8, P * sag_share),
    }


def beam_frequency(E: float, I: float, L: float, m: float, M: float) -> Numbers:
    """Lowest frequency of a simple beam with a mass at mid-span."""
    return {"frequency": span_loads.loaded_frequency(L, E, I, m, M / 16, pi**2)}


def span_growth(S: float) -> Numbers:
    """Span by a stress over the span by the table's stress, NPS 6 full of water."""
    own, table = (own_spans(6, 1000.0, stress, 2.54e-3)["span by stress"] for stress in (S, span.PUBLISHED_STRESS))
    return {"span over that of the table": own / table}
