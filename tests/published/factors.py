"""Units of printed examples in SI, from the legal definitions: 1 gal = 231 in³, 1 ft = 0.3048 m."""

from __future__ import annotations

INCH = 0.0254
FOOT = 0.3048
MINUTE = 60.0
DAY = 86400.0
GALLON = 231 * INCH**3
GPM = GALLON / MINUTE
GPM_PER_FOOT = GPM / FOOT
GPD_PER_FOOT = GALLON / DAY / FOOT
M3_PER_DAY = 1 / DAY
M2_PER_DAY = 1 / DAY
FT3_PER_DAY = FOOT**3 / DAY
FT2_PER_DAY = FOOT**2 / DAY
