"""Works the same pipes out with the package fluids: one process for all of them.

Reads from standard input a list of [what, number…] and writes the list of results, in SI units:
  ["full", D, S, ks, nu]          velocity by the friction factor of Colebrook, by trial
  ["part", D, S, ks, nu, h/D]     discharge, on four times the hydraulic radius
  ["manning", D, S, n, h/D]       discharge by Manning
  ["depth", D, S, ks, nu, Q]      h/D for a discharge, the lower one
  ["depth manning", D, S, n, Q]   the same by Manning
  ["most", D, S, ks, nu]          [h/D, discharge] of the greatest discharge
  ["units", K, sum]               flow out of discharge units
"""

import json
import math
import sys

from fluids.friction import Colebrook
from fluids.geometry import A_partial_circle, SA_partial_cylindrical_body
from fluids.open_flow import V_Manning
from scipy.optimize import brentq, minimize_scalar

G = 9.81


def velocity(diameter, slope, ks, nu):
    """The friction factor depends on the velocity: start from a guess and repeat until it stands still."""
    v = 1.0
    for _ in range(200):
        factor = Colebrook(v * diameter / nu, ks / diameter)
        again = math.sqrt(2 * G * diameter * slope / factor)
        if abs(again - v) < 1e-14 * again:
            break
        v = again
    return again


def section(diameter, filling):
    area = A_partial_circle(diameter, filling * diameter)
    # The wetted perimeter is the wetted wall of a metre of pipe.
    return float(area), float(SA_partial_cylindrical_body(1.0, diameter, filling * diameter))


def part(diameter, slope, ks, nu, filling):
    area, perimeter = section(diameter, filling)
    return area * velocity(4 * area / perimeter, slope, ks, nu)


def manning(diameter, slope, n, filling):
    area, perimeter = section(diameter, filling)
    return area * V_Manning(area / perimeter, slope, n)


def most(diameter, slope, ks, nu):
    found = minimize_scalar(
        lambda x: -part(diameter, slope, ks, nu, x), bounds=(0.85, 1.0), method="bounded", options={"xatol": 1e-10}
    )
    return [found.x, -found.fun]


def answer(what, *given):
    if what == "full":
        return velocity(*given)
    if what == "part":
        return part(*given)
    if what == "manning":
        return manning(*given)
    if what == "depth":
        *pipe, flow = given
        return brentq(lambda x: part(*pipe, x) - flow, 0.01, 0.93, xtol=1e-12)
    if what == "depth manning":
        *pipe, flow = given
        return brentq(lambda x: manning(*pipe, x) - flow, 0.01, 0.93, xtol=1e-12)
    if what == "most":
        return most(*given)
    if what == "units":
        return given[0] * math.sqrt(given[1])
    raise ValueError(what)


json.dump([answer(*point) for point in json.load(sys.stdin)], sys.stdout)
