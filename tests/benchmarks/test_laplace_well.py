"""Check the Laplace-domain well against published functions and a 30-digit inversion."""

from __future__ import annotations

import math

import mpmath
import numpy as np
import pytest
from benchmarks.calibration.laplace_well import (
    Edge,
    RockTruth,
    held_inflow,
    invert_laplace,
    pumped_drawdown,
    unit_drawdown,
    unit_slug,
)

# Papadopulos, I.S. and Cooper, H.H., 1967, Water Resour. Res. 3(1), 241-244: F(u, alpha), evaluated to 12
# digits with 60-digit arithmetic, three routes agreeing. Keys are alpha; values stand at 1/u below.
INVERSE_U = np.array(
    [0.1, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1e3, 2e3, 5e3, 1e4, 2e4, 5e4, 1e5, 2e5, 5e5, 1e6, 1e7]
)  # fmt: skip
WELL_FUNCTION = {
    1e-1: [
        0.009755261107005, 0.09191299088103, 0.1767212411522, 0.4061547771973, 0.7335369804389,
        1.259475097201, 2.303272675835, 3.275303385682, 4.2548452146, 5.420695016947, 6.21241049451,
        6.959469924347, 7.91136376729, 8.617654219726, 9.317939060428, 10.23890750855, 10.93375910954,
        11.62781973286, 12.54469996365, 13.23805856892, 15.54085221198,
    ],
    1e-3: [
        9.99749945719e-5, 0.0009991309081799, 0.00199741466173, 0.004988830452885, 0.00996554678473,
        0.01989176063503, 0.04949404872459, 0.09834135113116, 0.1944781070237, 0.4724748936562,
        0.9068792108925, 1.687821275418, 3.522797571487, 5.525876819587, 7.630694894775, 9.676435884691,
        10.68022892994, 11.50332216068, 12.49337147759, 13.2113938325, 15.537768847,
    ],
    1e-5: [
        9.999974989152e-7, 9.999913026376e-6, 1.999974118329e-5, 4.999888096043e-5, 9.999654487297e-5,
        0.0001999891282638, 0.0004999489936628, 0.0009998319468174, 0.001999435747125,
        0.004997126811274, 0.009989981028258, 0.01996459999493, 0.04980901466493, 0.09930946876036,
        0.1974872048715, 0.4860705092024, 0.9491956972015, 1.816393403039, 4.031926515069,
        6.777686485203, 15.12672131158,
    ],
}  # fmt: skip
# The same function with a steady skin, 10 digits (40-digit Talbot inversion); Agarwal, Al-Hussainy and Ramey
# 1970, SPEJ 10, 279-290. Keys are (alpha, skin).
INVERSE_U_SKIN = np.array([1, 10, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7])
WELL_FUNCTION_SKIN = {
    (1e-1, 1): [
        0.09805802341, 0.8674720338, 4.483101187, 8.16377321, 10.61355484, 12.93335788, 15.23801855,
        17.54084821,
    ],
    (1e-3, 5): [
        0.0009999525332, 0.009995606733, 0.09961356542, 0.9672888205, 7.594792809, 20.22973813,
        23.19028536, 25.53575704,
    ],
    (1e-5, 10): [
        9.999997565e-6, 9.999976607e-5, 0.0009999781622, 0.009997994359, 0.09981615371, 0.9832178345,
        8.581190902, 32.73134491,
    ],
}  # fmt: skip


def _dimensionless(alpha: float, skin: float) -> tuple[RockTruth, float, float]:
    rock = RockTruth(
        transmissivity_m2s=1.0 / (4.0 * math.pi),
        storativity=alpha,
        flow_dimension=2.0,
        skin=skin,
        well_radius_m=1.0,
    )
    return rock, math.pi, math.pi * alpha  # rock, area, time per 1/u


@pytest.mark.parametrize("alpha", WELL_FUNCTION)
def test_reproduces_the_large_diameter_well_function(alpha: float) -> None:
    rock, area, scale = _dimensionless(alpha, 0.0)
    np.testing.assert_allclose(unit_drawdown(rock, area, INVERSE_U * scale), WELL_FUNCTION[alpha], rtol=1e-9)


def test_reproduces_a_whole_low_yield_test() -> None:
    """6 in hole, 2 US gpm, T 0.5 m2/d, S 1e-4, pumped 60 min: 40-digit Talbot, and finite differences."""
    pumping = {1: 0.406624656, 5: 1.91650286, 10: 3.595583, 30: 8.68612522, 60: 13.3376593}
    recovery = {
        1: 13.0462412, 5: 11.9777284, 10: 10.8095989, 30: 7.39149131, 60: 4.46646272, 120: 1.97004227,
        240: 0.687334663, 480: 0.264420902, 1440: 0.0769283422, 2880: 0.0373219587,
    }  # fmt: skip
    rock = RockTruth(
        transmissivity_m2s=0.5 / 86400, storativity=1e-4, flow_dimension=2.0, skin=0.0, well_radius_m=0.0762
    )
    minutes = np.array([*pumping, *(60 + t for t in recovery)], dtype=float)
    levels = pumped_drawdown(rock, math.pi * 0.0762**2, 10.90198593792 / 86400, 3600.0, minutes * 60)
    np.testing.assert_allclose(levels, [*pumping.values(), *recovery.values()], rtol=5e-9)


def _precise_impedance(rock: RockTruth, p: mpmath.mpc) -> mpmath.mpc:
    order = 1 - mpmath.mpf(rock.flow_dimension) / 2
    u = mpmath.sqrt(p * rock.face_time_s)
    head, flux = mpmath.besselk(order, u), mpmath.besselk(order - 1, u)
    if rock.edge != "none":
        far = u * rock.edge_ratio
        if rock.edge == "constant head":
            share = -mpmath.besselk(order, far) / mpmath.besseli(order, far)
        else:
            share = mpmath.besselk(order - 1, far) / mpmath.besseli(order - 1, far)
        head += share * mpmath.besseli(order, u)
        flux -= share * mpmath.besseli(order - 1, u)
    return rock.resistance_sm2 * (head / (u * flux) + rock.skin)


CORNERS: list[tuple[float, float, float, float, Edge, float]] = [
    (1e-7, 1.0, 1.3, 0.0, "none", math.inf),
    (1e-4, 1e-6, 1.3, 5.0, "none", math.inf),
    (1e-8, 1e-6, 2.7, 0.0, "none", math.inf),
    (3e-4, 1.0, 2.0, 5.0, "none", math.inf),
    (1e-6, 1e-3, 1.0, 1.0, "none", math.inf),
    (1e-6, 1e-3, 3.0, 1.0, "none", math.inf),
    (1e-5, 1e-4, 1.7, 1.0, "no flow", 300.0),
    (1e-5, 1e-1, 2.4, 1.0, "constant head", 50.0),
]


@pytest.mark.parametrize("corner", CORNERS)
def test_agrees_with_a_thirty_digit_inversion(corner: tuple[float, float, float, float, Edge, float]) -> None:
    transmissivity, storativity, dimension, skin, edge, ratio = corner
    rock = RockTruth(
        transmissivity_m2s=transmissivity,
        storativity=storativity,
        flow_dimension=dimension,
        skin=skin,
        well_radius_m=0.08,
        edge=edge,
        edge_ratio=ratio,
    )
    area = 0.02
    times = np.array([60.0, 1800.0, 7200.0, 86400.0])

    def pumped(p: mpmath.mpc) -> mpmath.mpc:
        z = _precise_impedance(rock, p)
        return z / (p * (1 + area * p * z))

    def slug(p: mpmath.mpc) -> mpmath.mpc:
        z = _precise_impedance(rock, p)
        return z / (1 + area * p * z)

    def held(p: mpmath.mpc) -> mpmath.mpc:
        return 1 / (p * _precise_impedance(rock, p))

    with mpmath.workdps(30):
        expected = [
            [float(mpmath.invertlaplace(f, t, method="talbot", degree=30)) for t in times]
            for f in (pumped, slug, held)
        ]
    answers = [unit_drawdown(rock, area, times), unit_slug(rock, area, times), held_inflow(rock, 1.0, times)]
    for answer, truth in zip(answers, expected, strict=True):
        np.testing.assert_allclose(answer, truth, rtol=1e-8, atol=1e-10 * max(map(abs, truth)))


def test_spherical_and_channel_limits() -> None:
    """n = 1: 2 R sqrt(t / (pi tc)); n = 3: R / (n - 2) at late time (Barker 1988, closed forms)."""
    t = np.array([1e3, 1e5])
    channel = RockTruth(
        transmissivity_m2s=1e-5, storativity=1e-3, flow_dimension=1.0, skin=0.0, well_radius_m=0.1
    )
    expected = 2 * channel.resistance_sm2 * np.sqrt(t / (math.pi * channel.face_time_s))
    np.testing.assert_allclose(unit_drawdown(channel, 0.0, t), expected, rtol=1e-10)
    sphere = RockTruth(
        transmissivity_m2s=1e-5, storativity=1e-3, flow_dimension=3.0, skin=0.0, well_radius_m=0.1
    )
    late = unit_drawdown(sphere, 0.0, np.array([1e16]))[0]
    assert late == pytest.approx(sphere.resistance_sm2, rel=1e-6)


def test_closed_rock_gives_back_no_more_than_it_holds() -> None:
    """Pumping a closed rock long lowers it as a tank: storage of a ring, n = 2, pi (re2 - rw2) S."""
    rock = RockTruth(
        transmissivity_m2s=1e-5,
        storativity=1e-3,
        flow_dimension=2.0,
        skin=0.0,
        well_radius_m=0.1,
        edge="no flow",
        edge_ratio=100.0,
    )
    area = 0.03
    early, late = unit_drawdown(rock, area, np.array([1e7, 2e7]))
    storage = area + math.pi * (10.0**2 - 0.1**2) * 1e-3
    assert (late - early) / 1e7 == pytest.approx(1 / storage, rel=1e-7)


@pytest.mark.parametrize("skin_case", WELL_FUNCTION_SKIN)
def test_reproduces_the_well_function_with_skin(skin_case: tuple[float, int]) -> None:
    alpha, skin = skin_case
    rock, area, scale = _dimensionless(alpha, float(skin))
    expected = WELL_FUNCTION_SKIN[skin_case]
    np.testing.assert_allclose(unit_drawdown(rock, area, INVERSE_U_SKIN * scale), expected, rtol=1e-9)


def test_inverts_known_pairs() -> None:
    t = np.array([0.3, 3.0, 30.0])
    np.testing.assert_allclose(invert_laplace(lambda p: 1 / p**2, t), t, rtol=1e-12)
    np.testing.assert_allclose(invert_laplace(lambda p: p**-0.5, t), 1 / np.sqrt(math.pi * t), rtol=1e-12)
