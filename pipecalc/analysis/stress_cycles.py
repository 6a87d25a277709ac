"""Equivalent full cycles of the displacement ranges at every section, and the cycles that a range may have."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from pipecalc.analysis.stress_setting import FEWEST_CYCLES, Setting
from pipecalc.calc.frame import Array
from pipecalc.model import INSTALLED

_MORE = 1.0 + 1e-9  # a range counts as larger than another only beyond rounding


@dataclass(frozen=True, slots=True, eq=False)
class Cycles:
    """Full cycles of the largest range at every section.

    Attributes:
        total: N, shape (n,).
        exponent: Exponent on the ratio of ranges.
        names: Cases that count, in words.
        counts: Their cycles, shape (cases, n); zero where one does not count.
        shares: Ratio of each range to the largest, shape (cases, n).
    """

    total: Array
    exponent: float
    names: tuple[str, ...]
    counts: Array
    shares: Array

    def words(self, n: int) -> str:
        """The sum at a section, in words."""
        return "; ".join(self._terms(n))

    def _terms(self, n: int) -> Iterator[str]:
        for name, count, share in zip(self.names, self.counts[:, n], self.shares[:, n], strict=True):
            if count > 0:
                yield f"{name}: {count:.6g} at {share:.5f}"


def equivalent_cycles(s: Setting, pairs: Sequence[tuple[str, str]], names: Sequence[str], ranges: Array) -> Cycles:
    """N = sum of r^m N over the ranges from the installed state and the pairs of states that exceed both of theirs.

    The reference range is the largest of all. Going from one state to another counts only where that range is larger
    than both from the installed state, then with the smaller number of cycles of the two; since the same cycles stand
    in the sum already, this errs on the safe side.

    Args:
        s: Setting, with the cycles of the states.
        pairs: States of each range.
        names: Names of the ranges.
        ranges: Their stresses, shape (cases, n) [Pa].
    """
    totals = ranges
    reference = totals.max(axis=0)
    exponent = s.code.editions[s.edition].exponent
    shares = np.divide(totals, reference, out=np.ones_like(totals), where=reference > 0)
    counts = np.array([_count(s, pair, pairs, totals) for pair in pairs])
    total = np.where(np.isnan(reference), np.nan, (shares**exponent * counts).sum(axis=0))
    return Cycles(np.maximum(total, FEWEST_CYCLES), exponent, tuple(names), counts, shares)


def _count(s: Setting, pair: tuple[str, str], pairs: Sequence[tuple[str, str]], totals: Array) -> Array:
    a, b = pair
    if a == INSTALLED:
        return s.cycles[b]
    own = totals[pairs.index(pair)]
    singles = [totals[pairs.index((INSTALLED, name))] for name in pair if (INSTALLED, name) in pairs]
    larger = own > np.max(np.array(singles), axis=0) * _MORE if singles else np.ones(len(own), bool)
    return np.where(larger, np.minimum(s.cycles[a], s.cycles[b]), 0.0)


def cycles_allowed(
    s: Setting, S_E: Array, ends: tuple[Array, Array], S_L: Array | None, E_ratio: Array, f_m: Array
) -> Array:
    """Cycles that a range may have, shape (n,): the allowable range is linear in the stress range factor.

    Args:
        s: Setting.
        S_E: Displacement stress range [Pa], shape (n,).
        ends: Allowable stresses at the cold and hot end [Pa].
        S_L: Sustained stress where its margin is used [Pa], or None.
        E_ratio: Modulus at the highest temperature over that at installation.
        f_m: Largest stress range factor.
    """
    half, full = (s.code.allowable_range(f, *ends, S_L, E_ratio).value for f in (np.full(len(S_E), 0.5), _ones(S_E)))
    slope = 2.0 * (full - half)
    needed = np.maximum(0.0, (S_E - (2.0 * half - full)) / slope)
    return s.code.cycles_allowed(np.where(slope > 0, needed, np.nan), f_m, s.edition)


def _ones(like: Array) -> Array:
    return np.ones(len(like))
