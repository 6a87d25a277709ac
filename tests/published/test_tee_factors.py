"""Size-on-size tees: ASME B31.3 Appendix D (to the 2018 edition), Table D300, from memory.

Two cross-checks of the table by its own history are included: Markl (Piping-Flexibility Analysis, ASME 1955)
treated the unreinforced tee as a single mitre of 45 degrees, and gave a welding tee the equivalent thickness
1.60 T and radius 1.35 r2.
"""

import pytest

from pipecalc.calc import branch
from pipecalc.calc.branch_b31j import BranchGeometry, branch_factors
from pipecalc.calc.section import mean_radius

TABLE = pytest.mark.source("ASME B31.3 (to 2018) Appendix D, Table D300, from memory")
MARKL = pytest.mark.source("A. R. C. Markl, Piping-Flexibility Analysis, Trans. ASME 1955")

NPS8, NPS12 = (0.2191, 0.00818), (0.3239, 0.00953)


def older_welding_tee(T, r2):
    return branch.h_proven_tee(T, r2, r_x=2 * r2, T_c=1.5 * T, D_b=2 * r2 + T)


def padded(T, r2):
    return branch.h_reinforced_tee(T, r2, T)


ROWS = [
    (NPS8, branch.h_unreinforced_tee, 0.077565, 4.9484, 3.9613),
    (NPS8, padded, 0.21374, 2.5176, 2.1382),
    (NPS8, branch.h_welding_tee, 0.24045, 2.3275, 1.9956),
    (NPS8, older_welding_tee, 0.34129, 1.8429, 1.6322),
    (NPS12, branch.h_unreinforced_tee, 0.060629, 5.8316, 4.6237),
    (NPS12, padded, 0.16707, 2.9669, 2.4752),
    (NPS12, branch.h_welding_tee, 0.18795, 2.7429, 2.3072),
    (NPS12, older_welding_tee, 0.26677, 2.1718, 1.8788),
]


@TABLE
@pytest.mark.parametrize(("header", "characteristic", "h", "i_o", "i_i"), ROWS)
def test_four_constructions_on_two_headers(header, characteristic, h, i_o, i_i):
    D, T = header
    found = characteristic(T, mean_radius(D, T))
    outward = branch.branch_out_of_plane(found)
    assert found == pytest.approx(h, rel=1e-3)
    assert outward == pytest.approx(i_o, rel=1e-3)
    assert branch.branch_in_plane(outward) == pytest.approx(i_i, rel=1e-3)


@MARKL
def test_the_unreinforced_tee_is_a_single_mitre_of_45_degrees():
    T, r2 = 0.00818, 0.10546
    assert branch.h_unreinforced_tee(T, r2) == pytest.approx((1 + 1.0) / 2 * T / r2)


@MARKL
def test_the_welding_tee_has_the_thickness_and_radius_that_markl_gave_it():
    assert older_welding_tee(0.008, 0.1) / (0.008 / 0.1) == pytest.approx(1.60**2.5 * 1.35, rel=0.01)


@TABLE
@pytest.mark.parametrize(
    ("kind", "h", "within"),
    [
        ("welding tee", branch.h_welding_tee, 0.01),
        ("reinforced fabricated tee", padded, 0.025),
        ("unreinforced fabricated tee", branch.h_unreinforced_tee, 0.045),
    ],
)
def test_the_later_table_joins_the_older_one_at_full_size_out_of_plane(kind, h, within):
    D, T = NPS12
    later = branch_factors(BranchGeometry(kind, D, T, D, T, pad=T)).branch.i_o
    assert later == pytest.approx(branch.branch_out_of_plane(h(T, mean_radius(D, T))), rel=within)
