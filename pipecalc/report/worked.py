"""One formula written out for the page: symbols, numbers put in, result, clause.

The numbers come from the calculation's own function: its docstring states the formula, the meaning and unit of every
symbol, and the source. Numbers are shown in one consistent set of units, so that a pocket calculator follows.
"""

import inspect
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import isclose, isfinite
from typing import Any

from markupsafe import Markup, escape

from pipecalc.calc import (
    allowable_range,
    flange,
    leg,
    machine_load,
    nozzle_load,
    pressure,
    quick_check,
    reinforcement,
    spring,
    stress,
)
from pipecalc.calc.formula import formula_of, worked
from pipecalc.report import format as fmt
from pipecalc.report.format import MINUS, Display, significant
from pipecalc.results import Check, Leg

_ARGUMENT = re.compile(r"^ {4}(\w+): (.+?) \[([^\]]+)\]", re.MULTILINE | re.DOTALL)
_RETURNS = re.compile(r"Returns:\s+(.+?) \[([^\]]+)\]", re.DOTALL)
_SOURCE = re.compile(r"^Source: (.+?)(?:\n\n|\Z)", re.MULTILINE | re.DOTALL)
_TOKEN = re.compile(r"\d+\.?\d*(?:e[-+]?\d+)?|[A-Za-z]\w*|\*\*(?:-?\d+\.?\d*)?|.")
_POWER = re.compile(r"\d+\.?\d*e[-+]?\d+")
_SIZE = re.compile(r"\babs\(\(?(-?[\w.]+)\)?\)")
_WHOLE = re.compile(r"\babs\(([^()]*(?:\([^()]*\)[^()]*)*)\)")
_BARS = re.compile(r"(\|[^|]{1,90}\|)")
_OPPOSITE = re.compile(r"(^|[(,|]\s*)-")  # a sign, no subtraction
_PASCALS = re.compile(r"\b\d{6,}(?:\.0)?\b|\b\d\.\d+e\+?0?\d+\b")
_NAME = re.compile(r"[A-Za-z]\w*")
_WORDS = {
    "delta": "δ", "sqrt": "√", "pi": "π", "theta": "θ", "phi": "φ", "eps": "ε", "Phi": "Φ", "lambda": "λ",
    "kappa": "κ", "sigma": "σ",
}  # fmt: skip
_SIGNS = {"*": " · ", "/": " / ", "=": " = ", "+": " + ", "-": f" {MINUS} ", ",": ", "}

# Unit shown and its size in SI, for each SI unit of a docstring: N, mm, MPa or lbf, in, psi.
_CONSISTENT: Mapping[str, Mapping[str, tuple[str, float]]] = {
    "SI": {
        "m": ("mm", 1e-3),
        "m²": ("mm²", 1e-6),
        "m³": ("mm³", 1e-9),
        "m⁴": ("mm⁴", 1e-12),
        "Pa": ("MPa", 1e6),
        "N": ("N", 1.0),
        "N·m": ("N·mm", 1e-3),
        "N/m": ("N/mm", 1e3),
    },
    "base": {},
    "US": {
        "m": ("in", 0.0254),
        "m²": ("in²", 0.0254**2),
        "m³": ("in³", 0.0254**3),
        "m⁴": ("in⁴", 0.0254**4),
        "Pa": ("psi", 4.4482216152605 / 0.0254**2),
        "N": ("lbf", 4.4482216152605),
        "N·m": ("in·lbf", 4.4482216152605 * 0.0254),
        "N/m": ("lbf/in", 4.4482216152605 / 0.0254),
    },
}

# Loads on nozzles are worked in the units of their tables.
_LOADS: Mapping[str, Mapping[str, tuple[str, float]]] = {
    "SI": {},
    "base": {},
    "US": {"N": ("lbf", 4.4482216152605), "N·m": ("ft·lbf", 4.4482216152605 * 0.3048)},
}

# Rules by the size of a connection in those of their documents: N·m per mm, ft·lbf per inch.
_MACHINES: Mapping[str, Mapping[str, tuple[str, float]]] = {
    "SI": {"m": ("mm", 1e-3), "N·m/m": ("N·m/mm", 1e3), "N/m": ("N/mm", 1e3), "N·m/N": ("m", 1.0)},
    "base": {},
    "US": {
        **_LOADS["US"],
        "m": ("in", 0.0254),
        "N·m/m": ("ft·lbf/in", 4.4482216152605 * 0.3048 / 0.0254),
        "N/m": ("lbf/in", 4.4482216152605 / 0.0254),
        "N·m/N": ("ft", 0.3048),
        "1/m": ("1/ft", 1 / 0.3048),
    },
}

# Their formulas hold a limit in pascal, so they are worked in pascal.
_IN_PASCAL = (allowable_range.allowable_range_basic, allowable_range.allowable_range_liberal)

# Pure numbers that are printed in (mm/m)² or (in/ft)².
_IN_FLEXIBILITY = (quick_check.quick_check_value, quick_check.quick_check_limit)

Function = Callable[..., Any]

#: Formulas behind a check, by the start of its name.
CHECK_FUNCTIONS: Mapping[str, tuple[Function, ...]] = {
    "wall thickness": (
        pressure.pressure_design_thickness,
        pressure.required_thickness,
        pressure.nominal_thickness_needed,
        pressure.nominal_thickness_needed_absolute,
    ),
    "quick check": (quick_check.quick_check_value, quick_check.quick_check_limit),
    "wall of bends": (
        pressure.bend_design_thickness,
        pressure.required_thickness,
        pressure.nominal_thickness_needed,
        pressure.nominal_thickness_needed_absolute,
    ),
    "branch reinforcement": (
        reinforcement.required_area,
        reinforcement.header_area,
        reinforcement.branch_area,
        reinforcement.pad_area,
    ),
    "spring variation": (spring.spring_cold_load, spring.spring_variation),
    "flange": (flange.total_pressure, flange.moment_factor_limit, flange.joint_moment, flange.bolting_moment),
    "test hoop stress": (stress.hoop_stress,),
}


@dataclass(frozen=True, slots=True)
class Symbol:
    """A symbol of a formula: what it means, and its value as shown."""

    name: Markup
    meaning: str
    value: str


@dataclass(frozen=True, slots=True)
class Line:
    """Formula, numbers put in, result with its unit."""

    formula: Markup
    numbers: Markup
    result: str


@dataclass(frozen=True, slots=True)
class Working:
    """A formula written out.

    Attributes:
        clause: Where the formula comes from.
        symbols: The values that were put in.
        results: Results in SI by symbol, for the formulas that follow.
    """

    title: Markup
    lines: tuple[Line, ...]
    clause: Markup
    symbols: tuple[Symbol, ...]
    results: Mapping[str, float]


def written_out(function: Function, given: Mapping[str, float], display: Display) -> Working | None:
    """One function's formula with numbers, or None where a number is missing or not finite."""
    formula = formula_of(function)
    if any(n not in given or not isfinite(given[n]) for n in formula.names):
        return None
    document = inspect.getdoc(function) or ""
    arguments = {name: (meaning, unit) for name, meaning, unit in _ARGUMENT.findall(document)}
    units = {n: arguments.get(n, ("", "-"))[1] for n in formula.names}
    if function in _IN_PASCAL:
        return _with_cap(function, given, document, display)
    table = _units_for(function, display)
    shown = {n: given[n] / _unit(table, units[n])[1] for n in formula.names}
    out = worked(function, number=lambda v: significant(v, 5).replace(MINUS, "-"), **shown)
    final = _RETURNS.search(document)
    result_unit, size = _unit(table, final.group(2) if final else "-")
    lines = tuple(_line(w, result_unit if i == len(out.lines) - 1 else "") for i, w in enumerate(out.lines))
    if function in _IN_FLEXIBILITY:
        lines = (*lines[:-1], replace(lines[-1], result=display.text("flexibility value", float(out.result))))
    order = sorted(formula.names, key=lambda n: _first_place(n, formula.lines))
    symbols = tuple(_symbol(n, arguments.get(n, ("", "-"))[0], shown[n], display) for n in order)
    target = formula.lines[-1].partition("=")[0].strip()
    result = {target: float(out.result) * size}
    return Working(_title(document, display), lines, _clause(document, display), symbols, result)


def _with_cap(function: Function, given: Mapping[str, float], document: str, display: Display) -> Working:
    """A formula that holds a limit in pascal: worked in pascal and printed in the unit of stress."""
    unit, size = _CONSISTENT[display.system].get("Pa", ("MPa", 1e6))
    formula = formula_of(function)
    arguments = {name: (meaning, unit) for name, meaning, unit in _ARGUMENT.findall(document)}
    out = worked(function, number=lambda v: significant(v, 5), **{n: given[n] for n in formula.names})
    line, value = out.lines[-1], float(out.result)
    cap = f"{significant(allowable_range.ALLOWABLE_CAP / size, 5)} {unit}"
    symbolic = Markup(str(typeset(line.symbolic)).replace("138 · 10<sup>6</sup>", cap))  # noqa: S704 - typeset escapes
    numbers = _PASCALS.sub(lambda m: significant(float(m[0]) / size, 5), line.numbers)
    symbols = tuple(
        _symbol(n, arguments[n][0], given[n] / (size if arguments[n][1] == "Pa" else 1.0), display)
        for n in formula.names
    )
    target = formula.lines[-1].partition("=")[0].strip()
    worked_line = Line(symbolic, typeset(numbers), f"{significant(value / size, 5)} {unit}")
    return Working(_title(document, display), (worked_line,), _clause(document, display), symbols, {target: value})


@dataclass(frozen=True, slots=True)
class Group:
    """Formulas under one head.

    Attributes:
        where: Symbols not explained before.
        remark: What stands under the head.
        verdict: What follows from the formulas.
    """

    title: str
    steps: tuple[Working, ...]
    where: tuple[Symbol, ...]
    remark: str = ""
    verdict: Markup | str = ""


#: Units in which numbers are put in.
CONSISTENT_UNITS: Mapping[str, str] = {"SI": "N, mm, MPa and N·mm", "US": "lbf, in, psi and in·lbf"}


def chain(functions: Iterable[Function], given: Mapping[str, Any], display: Display) -> list[Working]:
    """Formulas one after the other, each result put into those that follow; those that lack a number are left out."""
    known = {k: float(v) for k, v in given.items() if isinstance(v, int | float)}
    done: list[Working] = []
    for function in functions:
        working = written_out(function, known, display)
        if working is not None:
            done.append(working)
            known = {**working.results, **known}
    return done


def intensified_stress(i: float, S: float) -> float:  # noqa: N803 - symbols as the book prints them
    """Bending stress times the stress intensification factor, to be compared with the allowable range.

    Formula:
        S_i = i*S

    Args:
        i: Stress intensification factor at the ends of the leg [-].
        S: Bending stress without intensification [Pa].

    Returns:
        Stress [Pa].

    Source: ASME B31.3 para. 319.4.4 for the use of the factor.
    """
    return i * S


def worked_leg(found: Leg, display: Display) -> list[Working]:
    """The hand method for one leg, from its own numbers: force, moment, stress, limit, needed length."""
    numbers = dict(found.inputs)
    loads = {**numbers, "E": numbers.get("E_load", numbers.get("E", float("nan")))}
    out = chain((leg.cantilever_force, leg.cantilever_moment), loads, display)
    out += chain((leg.cantilever_stress, intensified_stress), numbers, display)
    out += chain((allowable_range.allowable_range_basic,), numbers, display)
    return out + chain((leg.required_length,), numbers, display)


def worked_check(check: Check, display: Display) -> list[Working]:
    """The formulas of a check, where they are known by its name.

    Nothing is printed unless one of the results is the check's own demand: other codes share the names of checks.
    """
    functions = next((f for name, f in CHECK_FUNCTIONS.items() if check.check.startswith(name)), ())
    return to_demand(functions, check, display)


def to_demand(functions: Iterable[Function], check: Check, display: Display) -> list[Working]:
    """Formulas with the numbers of a check; none where no result is the check's own demand."""
    steps = [s for s in chain(functions, check.inputs, display) if _agrees(s, check.inputs)]
    results = [r for step in steps for r in step.results.values()]
    return steps if any(isclose(r, check.demand, rel_tol=1e-6) for r in results) else []


def _agrees(working: Working, inputs: Mapping[str, Any]) -> bool:
    """Whether what a formula gives is what the calculation has under the same symbol, where it has any."""
    pairs = ((result, inputs.get(symbol)) for symbol, result in working.results.items())
    return all(isclose(r, v, rel_tol=1e-6) for r, v in pairs if isinstance(v, int | float))


def judged(check: Check, display: Display) -> Markup:
    """Demand against limit in words, with the clause; empty where nothing was judged."""
    if not (isfinite(check.demand) and isfinite(check.limit)) or not isfinite(check.ratio):
        return Markup("")
    demand, limit = (_with_unit(check.unit, v, display) for v in (check.demand, check.limit))
    relation = "≤" if check.demand <= check.limit else ">"
    clause = f" Limit: {display.words(check.clause)}." if check.set else ""
    return sentence(f"{demand} {relation} {limit}, ratio {fmt.ratio(check.ratio)}: {check.status.value}.{clause}")


def _with_unit(unit: str, value: float, display: Display) -> str:
    number, shown = display.by_unit(unit, value)
    return f"{number} {shown}".strip()


def explained(steps: Iterable[Working], told: set[tuple[str, str]]) -> list[Symbol]:
    """Symbols with their meaning, those left out that were told before; adds to ``told``."""
    found = []
    for symbol in (s for step in steps for s in step.symbols):
        key = (str(symbol.name), symbol.meaning)
        if key not in told:
            told.add(key)
            found.append(symbol)
    return found


def typeset(text: str) -> Markup:
    """Plain arithmetic as it is printed in a book: indices lowered, powers raised, signs of multiplication."""
    close = re.sub(r"\s*\*\*\s*", "**", _WHOLE.sub(r"|\1|", _SIZE.sub(r"|\1|", text)))
    close = _OPPOSITE.sub(f"\\1{MINUS}", close)
    out = [_printed(token) for token in _TOKEN.findall(close) if token.strip()]
    return Markup("".join(out))  # noqa: S704 - every token is escaped; only sub and sup are added


_INDEXED = re.compile(r"\b([A-Za-z])_([A-Za-z0-9]+)\b")


def sentence(text: str) -> Markup:
    """Words with their symbols as a book prints them."""
    plain = str(escape(text.replace("<=", "≤")))
    return Markup(_INDEXED.sub(r"\1<sub>\2</sub>", plain))  # noqa: S704 - escaped above


def _printed(token: str) -> str:
    if _NAME.fullmatch(token):
        head, _, index = token.partition("_")
        head, index = _WORDS.get(head, head), "" if index == "bar" else index
        return f"{escape(head)}<sub>{escape(index)}</sub>" if index else str(escape(head))
    if _POWER.fullmatch(token):
        mantissa, _, exponent = token.partition("e")
        return f"{mantissa} · 10<sup>{escape(str(int(exponent)).replace('-', MINUS))}</sup>"
    if token.startswith("**"):
        return f"<sup>{escape(token[2:].replace('-', MINUS))}</sup>" if token[2:] else "^"
    return _SIGNS.get(token, str(escape(token.replace("-", MINUS))))


def _first_place(name: str, lines: Sequence[str]) -> int:
    found = re.search(rf"=.*?\b{name}\b", "\n".join(lines), re.DOTALL)
    return found.end() if found else 0


def _units_for(function: Function, display: Display) -> Mapping[str, tuple[str, float]]:
    return _TABLES.get(function.__module__, _CONSISTENT)[display.system]


_TABLES = {nozzle_load.__name__: _LOADS, machine_load.__name__: _MACHINES}


def _unit(table: Mapping[str, tuple[str, float]], si: str) -> tuple[str, float]:
    return table.get(si, ("" if si == "-" else si, 1.0))


def _line(line: Any, unit: str) -> Line:
    result = f"{significant(float(line.result), 5)} {unit}".strip()
    return Line(_whole(typeset(line.symbolic)), _whole(typeset(line.numbers)), result)


def _whole(formula: Markup) -> Markup:
    """A formula whose sizes between bars are not broken over two lines."""
    return Markup(_BARS.sub(r'<span class="size">\1</span>', str(formula)))  # noqa: S704 - typeset escapes


def _symbol(name: str, meaning: str, value: float, display: Display) -> Symbol:
    return Symbol(typeset(name), display.words(" ".join(meaning.split())), significant(value, 5))


def _title(document: str, display: Display) -> Markup:
    return sentence(display.words(" ".join(document.split("\n\n")[0].split()).rstrip(".")))


def clause_of(function: Function, display: Display) -> Markup:
    """Where a function of the calculation says its formula comes from."""
    return _clause(inspect.getdoc(function) or "", display)


def _clause(document: str, display: Display) -> Markup:
    found = _SOURCE.search(document)
    return sentence(display.words(" ".join(found.group(1).split()).rstrip("."))) if found else Markup("")
