"""Hidden macerations and percolations to try the watch on: spheres of three sizes, three pools in two tanks.

On purpose not the model that is fitted: what stands leaves by diffusion out of three sizes of grain, what drips passes
two tanks while the tap slows down. What a person sees of it has errors that the fit is not told exactly either.
"""

from dataclasses import dataclass, replace

import numpy as np
from scipy.integrate import solve_ivp

from stillroom.science.extraction.bed_watching import BeforeTheBed, SeenInBed
from stillroom.science.extraction.diffusion import out_of_sphere

DAY_MIN = 1440.0
SIGNALS = ("sample", "density", "refractometer", "colour", "drops")


@dataclass(frozen=True)
class HiddenBed:
    """One bed as it truly went, and what a person would know beforehand."""

    minutes: np.ndarray
    drips_ml_min: np.ndarray  # true
    pace: float  # true millilitres over those counted
    g_ml: np.ndarray  # of what is looked at
    colour: np.ndarray
    inside: np.ndarray  # share not yet out, at each look and one stretch after the last
    ahead_min: float
    before: BeforeTheBed

    @property
    def gain(self):
        return float(self.inside[-2] - self.inside[-1])


def standing(seed: int) -> HiddenBed:
    """A maceration looked at after four hours and then each day, for two to six days."""
    chance = np.random.default_rng(seed)
    days = int(chance.integers(2, 7))
    minutes = np.concatenate([[240.0], DAY_MIN * np.arange(1, days + 1)])
    slow = 1080.0 * np.exp(0.5 * chance.standard_normal())
    sizes, parts = np.array([0.5, 1.0, 2.0]) * slow, chance.dirichlet([4.0, 4.0, 2.0])
    washed = 1.0 / (1.0 + np.exp(0.4 - 0.6 * chance.standard_normal()))
    quick = 60.0 * np.exp(0.6 * chance.standard_normal())

    def out(at, share):
        grains = sum(part * np.asarray(out_of_sphere(at / (np.pi**2 * size)))
                     for part, size in zip(parts, sizes, strict=True))  # fmt: skip
        return share * -np.expm1(-at / quick) + (1.0 - share) * grains

    times = np.append(minutes, minutes[-1] + DAY_MIN)
    liquid, amount = 500.0, 20.0 * np.exp(0.6 * chance.standard_normal())
    held = liquid * np.exp(0.08 * chance.standard_normal())
    coloured = 1.0 / (1.0 + np.exp(-np.log(washed / (1 - washed)) - 0.4 - 0.5 * chance.standard_normal()))
    return HiddenBed(
        minutes, np.zeros(minutes.size), 1.0, amount * out(minutes, washed) / held, out(minutes, coloured),
        1.0 - out(times, washed), DAY_MIN, BeforeTheBed(liquid),
    )  # fmt: skip


def dripping(seed: int) -> HiddenBed:
    """A percolator that stands twelve hours and drips for six to twenty, its tap slowing down."""
    chance = np.random.default_rng(10_000 + seed)
    looks = int(chance.integers(3, 8))
    minutes = 720.0 + np.concatenate([[0.0, 30.0], 30.0 + 180.0 * np.arange(1, looks)])
    ahead = 180.0
    bed_ml, rate = 120.0, 1.0 * np.exp(0.3 * chance.standard_normal())
    held = bed_ml * np.exp(0.2 * chance.standard_normal())
    slow = 500.0 * np.exp(0.5 * chance.standard_normal())
    quick = 60.0 * np.exp(0.6 * chance.standard_normal())
    washed = 1.0 / (1.0 + np.exp(-0.4 - 0.5 * chance.standard_normal()))
    shares = np.array([washed, (1 - washed) * 0.65, (1 - washed) * 0.35])
    rates = np.array([1 / quick, 1.4 / slow, 0.6 / slow])
    slows = 0.1 * chance.random() / 1000.0

    def drip(at):
        return 0.0 if at < 720.0 else rate * np.exp(-slows * (at - 720.0))

    def change(at, now):
        pools, first, second = now[:3], now[3], now[4]
        lets_go, over = rates * pools, drip(at) / (held / 2)
        return [*-lets_go, lets_go.sum() / 2 - over * first, lets_go.sum() / 2 + over * (first - second)]

    times = np.append(minutes, minutes[-1] + ahead)
    run = solve_ivp(
        change, (0.0, times[-1]), [*shares, 0.0, 0.0], t_eval=times, rtol=1e-8, atol=1e-10, max_step=60.0
    )
    amount = 15.0 * np.exp(0.6 * chance.standard_normal())
    inside = run.y.sum(axis=0)
    came = [drip(at) if at > 720.0 else 0.0 for at in minutes]
    return HiddenBed(
        minutes, np.array(came), float(np.exp(0.2 * chance.standard_normal())),
        amount * run.y[4][:-1] / (held / 2), run.y[4][:-1] ** 1.1, inside, ahead,
        BeforeTheBed(
            bed_ml, 0.3, washed_share=0.6, fast_min=60.0, slow_min=500.0, amount_g=15.0, pace_log_sd=0.25,
        ),
    )  # fmt: skip


def seen_of(hidden: HiddenBed, seed: int, signals=SIGNALS) -> SeenInBed:
    """What a person sees of it: samples of 10 mL on a scale of 1 mg, a bottle, a refractometer, colours, drops."""
    chance = np.random.default_rng(20_000 + seed)

    def off(sd):
        return sd * chance.standard_normal(hidden.minutes.size)

    counted = hidden.drips_ml_min / hidden.pace
    bare = SeenInBed.nothing(hidden.minutes, counted)
    sample = 10_000.0 * hidden.g_ml * np.exp(off(0.05)) + off(0.7)
    density = (
        380.0 * np.exp(0.15 * chance.standard_normal()) * hidden.g_ml + chance.standard_normal() + off(0.7)
    )
    refractometer = 110.0 * np.exp(0.2 * chance.standard_normal()) * hidden.g_ml + off(0.15)
    colour = hidden.colour / hidden.colour[1] * np.exp(off(0.12))
    limit = 1.0 / 60.0
    above = np.log(np.maximum(hidden.g_ml / hidden.g_ml[1], 1e-12) / limit)
    shows = chance.random(hidden.minutes.size) < 0.03 + 0.77 / (1.0 + np.exp(-1.7 * above / 0.4))
    found = {
        "sample": {"sample_mg": sample, "sample_ml": np.full(sample.size, 10.0), "scale_mg": np.full(sample.size, 0.7)},
        "density": {"density_kg_m3": density},
        "refractometer": {"refractometer": refractometer},
        "colour": {"colour": colour},
        "drops": {"drops": shows.astype(float), "drop_limit": 60.0} if hidden.drips_ml_min.any() else {},
    }  # fmt: skip
    dry = hidden.drips_ml_min.any()  # nobody looks before it drips
    return replace(
        bare, **{name: np.append(np.nan, value[1:]) if dry and np.ndim(value) else value
                 for one in signals for name, value in found[one].items()},
    )  # fmt: skip
