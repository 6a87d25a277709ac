"""Variable springs: cold load and load variation. Travel counts upward from cold to hot."""

import numpy as np

from pipecalc.calc.domain import quotient


def spring_cold_load(F_h: float, k: float, delta: float) -> float:
    """Load of a spring before the line is heated.

    Formula:
        F_c = F_h + k*delta

    Args:
        F_h: Hot load: the weight it balances in operation [N].
        k: Rate [N/m].
        delta: Travel of the pipe from cold to hot, upward positive [m].

    Returns:
        Cold load [N].

    Source: statics; MSS SP-58, variable spring hangers.
    """
    return F_h + k * delta


def spring_variation(F_h: float, k: float, delta: float) -> float:
    """Load variation of a spring between cold and hot, as a share of its hot load.

    Formula:
        V = k*abs(delta)/F_h

    Args:
        F_h: Hot load: the weight it balances in operation [N].
        k: Rate [N/m].
        delta: Travel of the pipe from cold to hot, upward positive [m].

    Returns:
        Share [-]; NaN unless the hot load is above zero.

    Source: MSS SP-58, variable spring hangers; at most 25 % unless the project says otherwise.
    """
    return quotient(k * np.abs(delta), F_h)


def largest_rate(F_h: float, V: float, travel: float) -> float:
    """Stiffest rate that keeps the load variation within a limit.

    Formula:
        k = V*F_h/travel

    Args:
        F_h: Hot load [N].
        V: Limit of the variation as a share [-].
        travel: Size of the travel from cold to hot [m].

    Returns:
        Rate [N/m]; NaN without travel, when any rate will do.

    Source: the variation solved for the rate.
    """
    return quotient(V * F_h, travel)
