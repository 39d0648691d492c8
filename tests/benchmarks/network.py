"""Time of a million operating points against a loop of brentq over fluids and a hand-written numba kernel. Run as a script.

The system: linear soil, a 3 in riser that parts into two unequal 2 in legs and joins again, fittings, a five-point fan
curve. Soil, fittings and density of the air differ from point to point. numba is wanted here only; without it that
comparison is left out.
"""

import math
import sys
from timeit import repeat
from typing import Any

import fluids
import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from radonwork.solvers.fan_curve import FanCurve
from radonwork.solvers.network import solve
from radonwork.solvers.route import OUTSIDE, Branch, Fitting, Network, Pipe, Soil, Wye

FOOT, CFM, INWC = 0.3048, 0.3048**3 / 60, 249.08891
B3, B2 = 3.068 * 0.0254, 2.067 * 0.0254
RHO, MU, ROUGH = 1.2014, 1.81e-5, 1.5e-6
FAN = FanCurve(tuple((q * CFM, p * INWC) for q, p in ((0, 1.7), (40, 1.5), (80, 1.1), (120, 0.6), (150, 0.0))))
RISER, LEFT, RIGHT = 30 * FOOT, 9.2 * FOOT, 10.5 * FOOT
POINTS, CHECKED = 1_000_000, 40


def system(soil: Any, left: Any, right: Any, common: Any, wyes: tuple[Wye, ...] = ()) -> Network:
    """The network with a soil resistance and three sums of fitting coefficients."""
    return Network(
        (
            Branch("soil", OUTSIDE, "pit", (Soil(soil),)),
            Branch("riser", "pit", "parts", (Pipe(RISER, B3), Fitting(common, B3))),
            Branch("left", "parts", "joins", (Pipe(LEFT, B2), Fitting(left, B2))),
            Branch("right", "parts", "joins", (Pipe(RIGHT, B2), Fitting(right, B2))),
            Branch("fan", "joins", OUTSIDE, (Fitting(1.0, B3),)),
        ),
        fan="fan",
        wyes=wyes,
    )


def by_brentq(soil: float, left: float, right: float, common: float, rho: float) -> float:
    """Flow through the fan: brentq on it, brentq on the split inside, friction by fluids."""
    curve = PCHIP

    def loss(q: float, length: float, bore: float, coefficient: float) -> float:
        velocity = q / (math.pi * bore**2 / 4)
        factor = fluids.friction_factor(Re=rho * velocity * bore / MU, eD=ROUGH / bore) if q > 0 else 0.0
        return (factor * length / bore + coefficient) * rho * velocity**2 / 2

    def legs(total: float) -> float:
        split = brentq(lambda q: loss(q, LEFT, B2, left) - loss(total - q, RIGHT, B2, right), 0.0, total, xtol=1e-12)
        return loss(split, LEFT, B2, left)

    def missing(total: float) -> float:
        fan = float(curve(total)) * rho / FAN.rated_density
        return fan - soil * total - loss(total, RISER, B3, common + 1.0) - legs(total)

    return float(brentq(missing, 1e-6, FAN.largest_flow, xtol=1e-12))


PCHIP = PchipInterpolator(*np.array(FAN.points).T)


def numba_kernel() -> Any:
    """The same iteration for one variant after another: Newton on two leg flows, Haaland and two steps of Colebrook."""
    from numba import njit

    knots, (c3, c2, c1, c0) = np.ascontiguousarray(PCHIP.x), np.ascontiguousarray(PCHIP.c)
    rated, scale_pressure = FAN.rated_density, FAN.shutoff
    rr3, rr2 = ROUGH / B3 / 3.7, ROUGH / B2 / 3.7
    start3, start2 = rr3**1.11, rr2**1.11
    a3, a2 = math.pi * B3**2 / 4, math.pi * B2**2 / 4

    @njit
    def friction(re: float, k: float, k0: float) -> tuple[float, float]:
        if re <= 2000.0:
            return 64.0 / re, 1.0
        top = max(re, 2040.0)
        i = 1.0 / top
        x = -1.8 / 2.302585092994046 * math.log(k0 + 6.9 * i)
        for _ in range(2):
            inner = k + 2.51 * x * i
            x -= (x + 0.868588963806504 * math.log(inner)) / (1.0 + 2.18015829915432 * i / inner)
        f = 1.0 / (x * x)
        if re >= 2040.0:
            return f, 37148.0 / (21384.1077586357 * x + 18574.0 + 8519.56484407797 * k / i)
        low, high = 64.0 * 2000.0, f * 2040.0**2
        rise = (high - low) / 40.0
        here = low + rise * (re - 2000.0)
        return here / re**2, 2.0 - rise * re / here

    @njit
    def branch(
        q: float, rho: float, length: float, bore: float, area: float, k: float, k0: float, coefficient: float
    ) -> Any:
        size = abs(q) + 1e-15
        f, m = friction(rho * size * bore / (area * MU), k, k0)
        head = rho / (2.0 * area * area) * size
        by_friction = f * length / bore * head
        by_fittings = coefficient * head
        return (by_friction + by_fittings) * q, (2.0 - m) * by_friction + 2.0 * by_fittings

    @njit
    def fan(q: float, ratio: float) -> tuple[float, float]:
        inside = min(max(q, knots[0]), knots[-1])
        piece = 0
        while piece < len(knots) - 2 and inside >= knots[piece + 1]:
            piece += 1
        x = inside - knots[piece]
        slope = (3.0 * c3[piece] * x + 2.0 * c2[piece]) * x + c1[piece]
        pressure = ((c3[piece] * x + c2[piece]) * x + c1[piece]) * x + c0[piece] + slope * (q - inside)
        return pressure * ratio, slope * ratio

    @njit
    def left_over(q1: float, q2: float, soil: float, left: float, right: float, common: float, rho: float) -> Any:
        total = q1 + q2
        h1, s1 = branch(q1, rho, LEFT, B2, a2, rr2, start2, left)
        h2, s2 = branch(q2, rho, RIGHT, B2, a2, rr2, start2, right)
        h, s = branch(total, rho, RISER, B3, a3, rr3, start3, common + 1.0)
        p, ps = fan(total, rho / rated)
        shared, slope = soil * total + h - p, soil + s - ps
        return h1 + shared, h2 + shared, s1 + slope, s2 + slope, slope

    @njit
    def kernel(soil: Any, left: Any, right: Any, common: Any, rho: Any, out: Any) -> None:
        half = 0.5 * knots[-1]
        for n in range(len(out)):
            ratio = rho[n] / rated
            top = scale_pressure * ratio
            head2, head3 = rho[n] / (2.0 * a2 * a2) * half, rho[n] / (2.0 * a3 * a3) * half
            r1 = (0.02 * LEFT / B2 + left[n]) * head2
            r2 = (0.02 * RIGHT / B2 + right[n]) * head2
            r = soil[n] + (0.02 * RISER / B3 + common[n] + 1.0) * head3 + top / (2.0 * half)
            total = top / (r + r1 * r2 / (r1 + r2))
            q1, q2 = total * r2 / (r1 + r2), total * r1 / (r1 + r2)
            f1, f2, j11, j22, j12 = left_over(q1, q2, soil[n], left[n], right[n], common[n], rho[n])
            size = f1 * f1 + f2 * f2
            for _ in range(40):
                if size <= (1e-10 * top) ** 2:
                    break
                det = j11 * j22 - j12 * j12
                d1, d2 = (f1 * j22 - f2 * j12) / det, (f2 * j11 - f1 * j12) / det
                share = 1.0
                while True:
                    t1, t2 = q1 - share * d1, q2 - share * d2
                    f1, f2, j11, j22, j12 = left_over(t1, t2, soil[n], left[n], right[n], common[n], rho[n])
                    if f1 * f1 + f2 * f2 < size or share < 1e-9:
                        break
                    share *= 0.5
                q1, q2, size = t1, t2, f1 * f1 + f2 * f2
            out[n] = q1 + q2

    return kernel


def best(work: Any, times: int = 1, rounds: int = 3) -> float:
    return min(repeat(work, number=times, repeat=rounds)) / times


def main() -> None:
    rng = np.random.default_rng(1)
    soil = 0.02 * INWC / CFM * 10 ** rng.uniform(-1, 1, POINTS)
    left, right, common = (rng.uniform(low, high, POINTS) for low, high in ((0.4, 1.2), (0.4, 1.2), (1.5, 3.5)))
    rho = rng.uniform(1.0, 1.25, POINTS)
    network = system(soil, left, right, common)
    few = [tuple(float(array[i]) for array in (soil, left, right, common, rho)) for i in range(CHECKED)]

    ours = best(lambda: solve(network, FAN, air_density=rho, air_viscosity=MU)) / POINTS
    scalar = best(lambda: [by_brentq(*point) for point in few]) / CHECKED
    found = np.asarray(solve(network, FAN, air_density=rho, air_viscosity=MU).fan_flow)
    exact = np.array([by_brentq(*point) for point in few])
    print(f"numpy Newton, {POINTS:,} points      {ours * 1e9:12,.0f} ns a point")
    print(f"brentq over fluids, {CHECKED} points       {scalar * 1e9:12,.0f} ns a point, {scalar / ours:,.0f} times")
    print(f"  largest relative difference    {np.max(np.abs(found[:CHECKED] / exact - 1)):12.1e}")
    try:
        kernel = numba_kernel()
    except ImportError:
        print("numba is not installed; its comparison is left out")
    else:
        out = np.empty(POINTS)
        kernel(soil, left, right, common, rho, out)  # compiled here
        by_hand = best(lambda: kernel(soil, left, right, common, rho, out)) / POINTS
        print(
            f"hand-written numba, {POINTS:,} points {by_hand * 1e9:10,.0f} ns a point; "
            f"numpy takes {ours / by_hand:.2f} times that"
        )
        print(f"  largest relative difference    {np.max(np.abs(found / out - 1)):12.1e}")

    one = few[0]
    wyes = tuple(Wye("right", "left", main, B3, B2, math.pi / 4) for main in ("riser", "fan"))
    route = Network(
        (
            Branch("soil", OUTSIDE, "pit", (Soil(one[0]),)),
            Branch("r", "pit", OUTSIDE, (Pipe(RISER, B3), Fitting(2.5, B3))),
        ),
        "r",
    )
    for name, single in (
        ("one route", route),
        ("two legs", system(*one[:4])),
        ("two legs, two wyes", system(*one[:4], wyes)),
    ):
        time = best(lambda single=single: solve(single, FAN, air_density=RHO, air_viscosity=MU), 50, 5)
        print(f"a single point, {name:18s}   {time * 1e3:10.2f} ms")


if __name__ == "__main__":
    sys.exit(main())
