"""Allowable displacement stress range in its two forms, as both ASME codes state it."""

import numpy as np
from numpy.typing import ArrayLike

from pipecalc.calc.allowable_range import allowable_range_basic, allowable_range_liberal
from pipecalc.checks.stress.interface import (
    AllowedRange,
    array_form,
    liberal_where_better,
    positive,
    scalar_form,
)


def allowable_range(
    f: ArrayLike, S_c: ArrayLike, S_h: ArrayLike, S_L: ArrayLike | None, modulus_ratio: ArrayLike
) -> AllowedRange:
    """Allowable range: the basic form, or that with what S_L leaves over where it holds and gives more.

    Args:
        f: Stress range factor [-].
        S_c: Allowable stress at the cold end [Pa].
        S_h: Allowable stress at the hot end [Pa].
        S_L: Sustained stress at the same point [Pa]; None leaves its margin out.
        modulus_ratio: Does not enter here: the range is computed with the modulus at installation.

    Returns:
        The range allowed.
    """
    factor, cold, hot = (scalar_form(array_form(x)) for x in (f, positive(S_c), positive(S_h)))
    basic = array_form(allowable_range_basic(factor, cold, hot))
    if S_L is None:
        return AllowedRange(basic, np.zeros(basic.shape, dtype=bool))
    liberal = array_form(allowable_range_liberal(factor, cold, hot, scalar_form(array_form(S_L))))
    return liberal_where_better(np.broadcast_to(basic, liberal.shape), liberal)
