"""Results of functions kept for the same objects: the hand method asks the same of one chain many times over.

Plants and frames are frozen, so the same objects give the same result. Objects count by identity: to compare two
plants by value takes longer than most of what is kept.
"""

from collections import OrderedDict
from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

Arguments = ParamSpec("Arguments")
Found = TypeVar("Found")
_BY_VALUE = frozenset({int, float, str, bool, type(None)})


def remembered(most: int) -> Callable[[Callable[Arguments, Found]], Callable[Arguments, Found]]:
    """Keep the latest results of a function of frozen objects and plain values.

    Args:
        most: How many results are kept. Their arguments stay alive with them, so that no identity is given twice.
    """

    def keeping(function: Callable[Arguments, Found]) -> Callable[Arguments, Found]:
        kept: OrderedDict[tuple[object, ...], tuple[object, Found]] = OrderedDict()

        @wraps(function)
        def found(*args: Arguments.args, **kwargs: Arguments.kwargs) -> Found:
            given = (*args, *kwargs.items())
            key = tuple([one if type(one) in _BY_VALUE else id(one) for one in given])
            try:
                return kept[key][1]
            except KeyError:
                result = function(*args, **kwargs)
            kept[key] = (given, result)
            if len(kept) > most:
                kept.popitem(last=False)
            return result

        return found

    return keeping
