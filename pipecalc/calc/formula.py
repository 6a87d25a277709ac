"""The ``Formula:`` lines of a docstring: read them, evaluate them, write them out with numbers.

One line states the formula for the reader of the code, for the test that compares it with the function, and
for the page that shows it worked. The grammar is plain arithmetic: names, numbers, + - * / **, brackets, and
the functions named below.
"""

import ast
import inspect
import operator
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache, reduce
from typing import Any

import numpy as np

_OPERATORS: dict[type[ast.AST], Callable[..., Any]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
    ast.USub: operator.neg,
    ast.UAdd: operator.pos,
}
_FUNCTIONS: dict[str, Callable[..., Any]] = {
    "sqrt": np.sqrt,
    "abs": np.abs,
    "exp": np.exp,
    "log": np.log,
    "sin": np.sin,
    "cos": np.cos,
    "tan": np.tan,
    "atan": np.arctan,
    "sinh": np.sinh,
    "cosh": np.cosh,
    "tanh": np.tanh,
    "min": lambda *values: reduce(np.minimum, values),
    "max": lambda *values: reduce(np.maximum, values),
}
_CONSTANTS: dict[str, float] = {"pi": float(np.pi)}

Number = Callable[[float], str]


@dataclass(frozen=True, slots=True)
class Formula:
    """The formula lines of one function.

    Attributes:
        lines: Assignments in order; the last one is the result.
        names: Names that must be given: neither assigned by an earlier line nor a known function or constant.
    """

    lines: tuple[str, ...]
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WorkedLine:
    """One formula line written out.

    Attributes:
        symbolic: The line in symbols, ``S_b = sqrt((i_i*M_i)**2 + (i_o*M_o)**2)/Z``.
        numbers: The right side with numbers put in.
        result: Its value.
    """

    symbolic: str
    numbers: str
    result: Any


@dataclass(frozen=True, slots=True)
class Worked:
    """A formula written out.

    Attributes:
        lines: Every line in order.
    """

    lines: tuple[WorkedLine, ...]

    @property
    def result(self) -> Any:
        """Value of the last line."""
        return self.lines[-1].result


def has_formula(function: Callable[..., object]) -> bool:
    """Whether a function's docstring states a formula."""
    return bool(_formula_lines(inspect.getdoc(function) or ""))


@cache
def formula_of(function: Callable[..., object]) -> Formula:
    """The formula that a function's docstring states.

    Raises:
        LookupError: It states none.
        SyntaxError: A line is not an assignment in the grammar.
    """
    lines = _formula_lines(inspect.getdoc(function) or "")
    if not lines:
        raise LookupError(f"{function.__qualname__} states no formula")
    return Formula(lines, _given_names(lines))


def evaluate(formula: Formula, arguments: Mapping[str, Any]) -> Any:
    """Value of a formula for given arguments (numbers or arrays), by name."""
    known = dict(arguments)
    target = ""
    for line in formula.lines:
        target, expression = _assignment(line)
        known[target] = _value(expression, known)
    return known[target]


def worked(function: Callable[..., object], /, *, number: Number | None = None, **arguments: Any) -> Worked:
    """A function's formula written out with numbers.

    Args:
        function: A function with ``Formula:`` lines.
        number: How to write a number; four significant digits if left out.
        arguments: Values by name. In one consistent set of units, or the results are not those of the
            function.

    Returns:
        Symbols, numbers put in, and result, line by line.

    Raises:
        LookupError: The function states no formula, or a name has no value.
    """
    formula, known, lines = formula_of(function), dict(arguments), []
    write = number or four_digits
    for line in formula.lines:
        target, expression = _assignment(line)
        known[target] = _value(expression, known)
        numbers = ast.unparse(_NumbersPutIn(known, write).visit(_assignment(line)[1]))
        lines.append(WorkedLine(line, numbers, known[target]))
    return Worked(tuple(lines))


def four_digits(value: float) -> str:
    """A number with four significant digits; plain up to a million, with a power of ten beyond."""
    if value == 0 or 1e-3 <= abs(value) < 1e6:
        digits = max(0, 3 - int(np.floor(np.log10(abs(value))))) if value else 0
        return f"{value:.{digits}f}".rstrip("0").rstrip(".") if digits else f"{value:.0f}"
    return f"{value:.3e}".replace("e-0", "e-").replace("e+0", "e").replace("e+", "e")


class _NumbersPutIn(ast.NodeTransformer):
    def __init__(self, known: Mapping[str, Any], write: Number) -> None:
        self._known, self._write = known, write

    def visit_Call(self, node: ast.Call) -> ast.Call:
        node.args = [self.visit(argument) for argument in node.args]
        return node

    def visit_Name(self, node: ast.Name) -> ast.Name:
        if node.id not in self._known:
            return node
        text = self._write(self._known[node.id])
        return ast.Name(f"({text})" if text.startswith("-") else text)


def _formula_lines(doc: str) -> tuple[str, ...]:
    found = re.search(r"^Formula:\n((?:[ \t]+\S.*\n?)+)", doc, flags=re.MULTILINE)
    return tuple(line.strip() for line in found.group(1).splitlines()) if found else ()


def _assignment(line: str) -> tuple[str, ast.expr]:
    match ast.parse(line).body:
        case [ast.Assign(targets=[ast.Name(id=target)], value=expression)]:
            return target, expression
    raise SyntaxError(f"not a formula line: {line}")


@cache
def _given_names(lines: tuple[str, ...]) -> tuple[str, ...]:
    assigned: set[str] = set()
    given: dict[str, None] = {}
    for line in lines:
        target, expression = _assignment(line)
        used = [n.id for n in ast.walk(expression) if isinstance(n, ast.Name)]
        given.update(dict.fromkeys(n for n in used if n not in assigned | _FUNCTIONS.keys() | _CONSTANTS.keys()))
        assigned.add(target)
    return tuple(given)


def _value(node: ast.expr, known: Mapping[str, Any]) -> Any:
    match node:
        case ast.Constant(value=int() | float() as number):
            return float(number)
        case ast.Name(id=name) if name in known:
            return known[name]
        case ast.Name(id=name) if name in _CONSTANTS:
            return _CONSTANTS[name]
        case ast.Name(id=name):
            raise LookupError(f"no value for {name}")
        case ast.UnaryOp(op=op, operand=operand) if type(op) in _OPERATORS:
            return _OPERATORS[type(op)](_value(operand, known))
        case ast.BinOp(left=left, op=op, right=right) if type(op) in _OPERATORS:
            return _OPERATORS[type(op)](_value(left, known), _value(right, known))
        case ast.Call(func=ast.Name(id=name), args=args, keywords=[]) if name in _FUNCTIONS:
            return _FUNCTIONS[name](*(_value(a, known) for a in args))
    raise SyntaxError(f"not in the formula grammar: {ast.unparse(node)}")
