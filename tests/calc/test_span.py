"""Support spans."""

import numpy as np
import pytest

from pipecalc.calc import span
from pipecalc.calc.section import PipeSection

NPS6 = PipeSection(0.1683, 0.00711)
E, W, M = 203e9, 460.0, 460.0 / 9.80665


@pytest.mark.parametrize("ends", list(span.END_CONDITIONS))
def test_spans_meet_the_limits_they_are_made_for(ends):
    held = span.END_CONDITIONS[ends]
    L = span.span_by_stress(20e6, NPS6.section_modulus, W, held.n)
    assert span.span_stress(W, L, NPS6.section_modulus, held.n) == pytest.approx(20e6)
    L = span.span_by_sag(0.0025, E, NPS6.moment_of_inertia, W, held.c)
    assert span.span_sag(W, L, E, NPS6.moment_of_inertia, held.c) == pytest.approx(0.0025)
    L = span.span_by_frequency(4.0, E, NPS6.moment_of_inertia, M, held.lambda_squared)
    assert span.natural_frequency(L, E, NPS6.moment_of_inertia, M, held.lambda_squared) == pytest.approx(4.0)


def test_stress_is_moment_over_section_modulus():
    moment = span.span_moment(W, 6.0, 10.0)
    assert span.span_stress(W, 6.0, NPS6.section_modulus, 10.0) == pytest.approx(moment / NPS6.section_modulus)


def test_continuous_lies_between_simple_and_fixed():
    simple, continuous, fixed = (span.END_CONDITIONS[k] for k in ("simple", "continuous", "fixed"))
    assert simple.n < continuous.n < fixed.n
    assert simple.c < continuous.c < fixed.c


def test_frequency_of_a_simple_span_from_its_own_sag():
    I, L = NPS6.moment_of_inertia, 6.0
    sag = span.span_sag(W, L, E, I, span.END_CONDITIONS["simple"].c)
    exact = span.natural_frequency(L, E, I, M, span.END_CONDITIONS["simple"].lambda_squared)
    assert span.frequency_from_sag(sag) == pytest.approx(exact, rel=1e-9)


def test_a_weightless_or_missing_pipe_has_no_span():
    assert np.isnan(span.span_by_stress(20e6, NPS6.section_modulus, 0.0, 10.0))
    assert np.isnan(span.span_by_sag(0.0025, float("nan"), 1e-5, W, 128.0))
    assert np.isnan(span.frequency_from_sag(0.0))
    assert np.isnan(span.natural_frequency(0.0, E, 1e-5, M, 9.87))
