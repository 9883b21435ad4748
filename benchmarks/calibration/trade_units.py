"""Hold the exact factors between the trade's units and SI that the synthetic wells need.

They are written out here, not imported, so that the truths share no line with the package they judge.

Source: US gallon = 231 in3, foot = 0.3048 m (legal definitions, exact).
"""

from __future__ import annotations

M_PER_FT = 0.3048
M_PER_IN = 0.0254
M3_PER_GAL = 231 * M_PER_IN**3
M3S_PER_GPM = M3_PER_GAL / 60.0
S_PER_MIN = 60.0
S_PER_H = 3600.0
S_PER_D = 86400.0
