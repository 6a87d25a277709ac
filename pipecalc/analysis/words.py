"""Numbers in the sentences of advice, in the project's own units."""

from dataclasses import dataclass

_INCH, _FOOT, _POUND_FORCE, _POUND = 0.0254, 0.3048, 4.4482216152605, 0.45359237


@dataclass(frozen=True, slots=True)
class Words:
    """Writes quantities; ``units`` is ``"SI"`` or ``"US"``."""

    units: str

    def size(self, metres: float) -> str:
        """A movement or small length."""
        return f"{metres / _INCH:.3f} in" if self.units == "US" else f"{1e3 * metres:.1f} mm"

    def length(self, metres: float, sign: str = "") -> str:
        """A length of pipe; ``sign="+"`` shows its sign."""
        value, unit = (metres / _FOOT, "ft") if self.units == "US" else (metres, "m")
        shown = f"{value + 0.0:{sign}.2f}"
        return f"{shown.replace('-0.00', '0.00').replace('+0.00', '0.00')} {unit}"

    def force(self, newtons: float) -> str:
        """A load."""
        return f"{newtons / _POUND_FORCE:.0f} lbf" if self.units == "US" else f"{newtons:.0f} N"

    def rate(self, newtons_per_metre: float) -> str:
        """A spring rate."""
        if self.units == "US":
            return f"{newtons_per_metre / _POUND_FORCE * _INCH:.1f} lbf/in"
        return f"{newtons_per_metre / 1e3:.1f} N/mm"

    def mass(self, kilograms: float) -> str:
        """A mass."""
        return f"{kilograms / _POUND:.0f} lb" if self.units == "US" else f"{kilograms:.0f} kg"
