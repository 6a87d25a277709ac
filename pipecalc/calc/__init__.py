"""Pure calculation on floats and arrays.

Units throughout: m, N, Pa, N·m, kg, s, rad, float64; temperatures in °C, temperature differences in K. Axes are East,
North, Up (right-handed, Up vertical). Nothing here knows a units library, a workbook or the plant model. Arguments
outside a formula's range give NaN or an explicit "not covered" value; the check that calls turns that into NOT
CHECKED, never into a pass.
"""
