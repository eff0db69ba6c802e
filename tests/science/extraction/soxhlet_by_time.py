"""A Soxhlet integrated another way: in moles and minutes, by a general solver that looks for the crest as an event.

Shares no line with ``stillroom.science.extraction.soxhlet``: activities, vapour pressures and densities are written out
here again from the published coefficients, and read off splines of its own.
"""

from dataclasses import dataclass

import numpy as np
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq

from stillroom.substances.spirits import ETHANOL_WATER_BOILING as NRTL
from stillroom.substances.spirits import ETHANOL_WATER_HEATS as HEATS
from stillroom.substances.spirits import OIML_R22

M_E, M_W = NRTL.ethanol.molar_mass_g_mol, NRTL.water.molar_mass_g_mol
X = np.concatenate((np.linspace(0.0, 0.02, 41), np.linspace(0.021, 1.0, 400)))


def _boil(x: float, pressure_pa: float) -> tuple[float, float]:
    def parts(kelvin: float) -> tuple[float, float]:
        t12, t21 = NRTL.a12 + NRTL.b12_k / kelvin, NRTL.a21 + NRTL.b21_k / kelvin
        g12, g21, w = np.exp(-NRTL.alpha * t12), np.exp(-NRTL.alpha * t21), 1.0 - x
        ln1 = w * w * (t21 * (g21 / (x + w * g21)) ** 2 + t12 * g12 / (w + x * g12) ** 2)
        ln2 = x * x * (t12 * (g12 / (w + x * g12)) ** 2 + t21 * g21 / (x + w * g21) ** 2)
        pure = []
        for one in (NRTL.ethanol, NRTL.water):
            a, b, c, d, e = one.coefficients
            pure.append(np.exp(a + b / kelvin + c * np.log(kelvin) + d * kelvin**e))
        return x * np.exp(ln1) * pure[0], w * np.exp(ln2) * pure[1]

    kelvin = brentq(lambda at: sum(parts(at)) - pressure_pa, 330.0, 380.0, xtol=1e-10)
    return kelvin - 273.15, parts(kelvin)[0] / pressure_pa


def density_g_ml(mass_fraction: float) -> float:
    return sum(one * mass_fraction**power for power, one in enumerate(OIML_R22.a)) / 1000.0


@dataclass
class ByTime:
    """Figures at each siphoning, in the order it came."""

    flask: list
    thimble: list
    minutes: list
    out: list
    lost_g: list
    cooling_j: list


def soxhlet_by_time(
    *, poured_g, strength, siphon_ml, heel_ml, power_w, efficiency, loss, room_c, lost_g_per_kg_h, below_k, water_g,
    siphonings, washed, slow_at_60c_min, energy_kj_mol, sorption_ml, pressure_pa=101325.0,
):  # fmt: skip
    """Fill, siphon, warm and fill again; strengths by mass."""
    boiled = np.array([_boil(x, pressure_pa) for x in X])
    celsius, rising = CubicSpline(X, boiled[:, 0]), CubicSpline(X, boiled[:, 1])
    latent_e, latent_w = HEATS.ethanol_latent_j_g * M_E, HEATS.water_latent_j_g * M_W

    def mass(x):
        return x * M_E / (x * M_E + (1 - x) * M_W)

    def capacity(p):
        return p * HEATS.ethanol_capacity_j_g_k + (1 - p) * HEATS.water_capacity_j_g_k

    def net_j_min(degrees):
        return 60.0 * (power_w * efficiency - loss * (degrees - room_c))

    def slow_per_min(degrees):
        hotter = 1 / (degrees + 273.15) - 1 / (60.0 + 273.15)
        return np.exp(-1000 * energy_kj_mol / 8.314462618 * hotter) / slow_at_60c_min

    def flows(_, state):
        flask_e, flask_w = state[0], state[1]
        x = flask_e / (flask_e + flask_w)
        y, degrees = float(rising(x)), float(celsius(x))
        gram_mol = y * M_E + (1 - y) * M_W
        latent = y * latent_e + (1 - y) * latent_w
        over = net_j_min(degrees) / latent
        away = lost_g_per_kg_h * poured_g / 60000.0 / gram_mol
        caught = over - away
        gives = slow_per_min(degrees - below_k) * state[6]
        cools = caught * (latent + gram_mol * below_k * capacity(mass(y)))
        return [
            -over * y, -over * (1 - y), caught * y, caught * (1 - y),
            caught * gram_mol / density_g_ml(mass(y)), away * gram_mol, -gives, gives, cools,
        ]  # fmt: skip

    def crest(_, state):
        return state[4] - siphon_ml

    crest.terminal, crest.direction = True, 1
    state = np.array([
        poured_g * strength / M_E, poured_g * (1 - strength) / M_W, 0.0, water_g / M_W, water_g / density_g_ml(0.0),
        0.0, 1.0 - washed, washed, 0.0,
    ])  # fmt: skip
    found, waited, out = ByTime([], [], [], [], [], []), 0.0, 0.0
    for _ in range(siphonings):
        run = solve_ivp(flows, (0, 600), state, events=crest, rtol=1e-9, atol=1e-11, method="LSODA")
        state = run.y[:, -1].copy()
        full_x, thimble_x = state[0] / (state[0] + state[1]), state[2] / (state[2] + state[3])
        found.flask.append(mass(full_x))
        found.thimble.append(mass(thimble_x))
        found.minutes.append(run.t[-1] + waited)
        was_c, flask_g = float(celsius(full_x)), state[0] * M_E + state[1] * M_W
        share = (siphon_ml - heel_ml) / siphon_ml
        back_g = share * (state[2] * M_E + state[3] * M_W)
        state[:2] += share * state[2:4]
        state[2:5] *= 1 - share
        brought = state[7] * (siphon_ml - heel_ml) / (siphon_ml + sorption_ml)
        out, state[7] = out + brought, state[7] - brought
        found.out.append(out)
        found.lost_g.append(state[5])
        found.cooling_j.append(state[8])
        state[8] = 0.0
        now_c = float(celsius(state[0] / (state[0] + state[1])))
        heat = back_g * capacity(mass(thimble_x)) * (now_c - was_c + below_k)
        heat += flask_g * capacity(mass(full_x)) * (now_c - was_c)
        waited = max(heat, 0.0) / net_j_min(now_c)
        gave = state[6] * (1 - np.exp(-waited * slow_per_min(now_c - below_k)))
        state[6], state[7] = state[6] - gave, state[7] + gave
    return found
