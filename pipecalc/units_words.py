"""What people type for the units of the piping trade, and the name of each in ``units_trade.txt``.

Superscripts, other quotation marks and degree signs are made plain before a word is looked up.
"""

WORDS: dict[str, str] = {
    "m": "meter", "mm": "millimeter", "cm": "centimeter", "km": "kilometer", "μm": "micrometer",
    "um": "micrometer",
    "in": "inch", "inch": "inch", "inches": "inch", '"': "inch", "''": "inch",
    "ft": "foot", "foot": "foot", "feet": "foot", "'": "foot", "μin": "microinch", "uin": "microinch",
    "l": "liter", "L": "liter",
    "kg": "kilogram", "g": "gram", "t": "tonne", "tonne": "tonne", "tonnes": "tonne", "lbm": "pound",
    "N": "newton", "daN": "dekanewton", "kN": "kilonewton", "MN": "meganewton",
    "lbf": "pound_force", "kip": "kip", "kips": "kip", "klbf": "kip", "kgf": "kilogram_force",
    "tf": "tonne_force", "Nm": "newton*meter", "kNm": "kilonewton*meter", "Nmm": "newton*millimeter",
    "Pa": "pascal", "hPa": "hectopascal", "kPa": "kilopascal", "MPa": "megapascal", "GPa": "gigapascal",
    "bar": "bar", "mbar": "millibar", "psi": "psi", "ksi": "ksi", "kpsi": "ksi", "Msi": "million_psi",
    "Mpsi": "million_psi", "psf": "psf",
    "mmAq": "millimeter_water", "mAq": "meter_water", "inAq": "inch_water", "ftAq": "foot_water",
    "mmHg": "millimeter_mercury", "inHg": "inch_mercury",
    "K": "kelvin", "C": "celsius_interval", "F": "fahrenheit_interval", "R": "fahrenheit_interval",
    "pcf": "pound_per_cubic_foot", "rad": "radian", "deg": "degree", "degree": "degree", "degrees": "degree",
    "°": "degree", "Hz": "hertz", "s": "second", "min": "minute",
    "%": "percent", "percent": "percent", "ppm": "ppm",
}  # fmt: skip

POUNDS = ("lb", "lbs", "pound", "pounds", "#")
TON = "a ton may be 1000 kg, 2000 lb or 2240 lb; write t for 1000 kg, or use kg or lb"
_CASE = "capital and small letters differ here; millimetres are mm, mega is M, milli is m"
_MASS_AS_FORCE = "a mass, where a force is needed; write kgf, tf, N or lbf"
_GALLON = "a US and an imperial gallon differ; write lb/ft3 or kg/m3"
REFUSED: dict[str, str] = {
    **dict.fromkeys(("ton", "tons", "tonf", "T"), TON),
    **dict.fromkeys(("mPa", "mN", "Mm", "Mbar", "GM"), _CASE),
    **dict.fromkeys(("gal", "gallon"), _GALLON),
    "atm": "not clear whether absolute or gauge; write barg or psig",
    "SG": "a specific gravity needs its reference; multiply by 1000 and write kg/m3",
    "mil": "may be read as a thousandth of an inch or a millimetre; write in or mm",
    "mils": "may be read as thousandths of an inch or millimetres; write in or mm",
}
REFUSED_AS_FORCE = dict.fromkeys(("kg", "kgs", "g", "t", "tonne", "tonnes", "lbm"), _MASS_AS_FORCE)
TEMPERATURES = {
    **dict.fromkeys(("c", "celsius", "centigrade"), ("degree_Celsius", "kelvin")),
    **dict.fromkeys(("f", "fahrenheit"), ("degree_Fahrenheit", "fahrenheit_interval")),
    **dict.fromkeys(("k", "kelvin"), ("kelvin", "kelvin")),
    **dict.fromkeys(("r", "rankine"), ("degree_Rankine", "fahrenheit_interval")),
}
