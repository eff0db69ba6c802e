"""Where a still is stopped, and what stays in it then, with what published boilings differ by inside.

Promises that a stop by mass, volume or boiling point is met exactly, whatever the boiling data are off, and that what
came over and what stays close in mass and in ethanol.
"""

import math
from collections.abc import Callable
from typing import Literal, TypeAlias, cast

import numpy as np

from stillroom.answers import still_shares as shares
from stillroom.answers import still_sums as sums
from stillroom.answers.spirit_strength import BASIS
from stillroom.evidence.answer import Answer, Leaf, reckoned
from stillroom.evidence.formulas import formula
from stillroom.science.arrays import N, array, like_given
from stillroom.science.liquids.still_cuts import LAST_SHARE, boiling_of_spirit_c
from stillroom.substances.rules import rule
from stillroom.substances.spirits import (
    BOILING_SOURCES,
    spirit_density_kg_m3,
    spirit_still,
    spirit_volume_fraction_20c,
)

StopAs: TypeAlias = Literal["share", "distillate", "drip", "boiling", "volume", "mass"]
SOURCES = (*BOILING_SOURCES, "rayleigh-1902")
CLOSE = 1e-10
ROUNDS = 60


@formula("strength-of-masses", takes_arrays=("ethanol_g", "mass_g"))
def strength_of_masses_percent(ethanol_g: N | float, mass_g: N | float) -> N:
    """Strength of a spirit by the ethanol in it. [% v/v at 20 °C].

    Parameters
    ----------
    ethanol_g, mass_g : float
        [g]

    References
    ----------
    oiml-r22-1975
    """
    ethanol, mass = np.broadcast_arrays(array(ethanol_g), array(mass_g))
    share = np.divide(ethanol, mass, out=np.zeros(mass.shape), where=mass > 0.0)
    strength = array(spirit_volume_fraction_20c(np.minimum(np.maximum(share, 0.0), 1.0)))
    return cast(N, like_given(100.0 * strength))


@formula("boiling-point-of-spirit", takes_arrays=("volume_percent_20c",))
def boiling_of_strength_c(volume_percent_20c: N | float, pressure_pa: float) -> N:
    """Boiling point of a spirit. [°C].

    Parameters
    ----------
    volume_percent_20c : float
        [% v/v]
    pressure_pa : float
        [Pa]

    References
    ----------
    ethanol-water-nrtl-vle-ig, perry-8-dippr101
    """
    return boiling_of_spirit_c(sums.by_mass(volume_percent_20c), spirit_still(pressure_pa))


@formula(
    "share-over-by-mass-off",
    takes_arrays=("start_mass_g", "volume_percent_20c", "distillate_mass_g", "difference_percent"),
)
def share_at_mass_off(
    start_mass_g: N | float,
    volume_percent_20c: N | float,
    pressure_pa: float,
    distillate_mass_g: N | float,
    difference_percent: N | float,
) -> N:
    """Share of the ethanol in so much distillate, by mass, if it is off in strength. [1].

    Parameters
    ----------
    start_mass_g, distillate_mass_g : float
        [g]
    volume_percent_20c : float
        In the flask at the start. [% v/v]
    pressure_pa : float
        [Pa]
    difference_percent : float
        Strength in truth less that by the boiling data. [% v/v]
    """
    first: N = shares.share_at_mass(start_mass_g, volume_percent_20c, pressure_pa, distillate_mass_g)
    whole_g: N = sums.ethanol_g(start_mass_g, volume_percent_20c)

    def again(share: N) -> N:
        by_mass: N = _over(volume_percent_20c, pressure_pa, share, difference_percent)
        over: N = distillate_mass_g * by_mass / whole_g
        return over

    return _settled(first, again)


@formula(
    "share-over-by-volume-off",
    takes_arrays=(
        "start_mass_g",
        "volume_percent_20c",
        "distillate_volume_ml",
        "temperature_c",
        "difference_percent",
    ),
)
def share_at_volume_off(
    start_mass_g: N | float,
    volume_percent_20c: N | float,
    pressure_pa: float,
    distillate_volume_ml: N | float,
    temperature_c: N | float,
    difference_percent: N | float,
) -> N:
    """Share of the ethanol in so much distillate, by volume, if it is off in strength. [1].

    Parameters
    ----------
    start_mass_g : float
        [g]
    volume_percent_20c : float
        In the flask at the start. [% v/v]
    pressure_pa : float
        [Pa]
    distillate_volume_ml : float
        [mL]
    temperature_c : float
        Of the distillate. [°C]
    difference_percent : float
        Strength in truth less that by the boiling data. [% v/v]
    """
    first: N = shares.share_at_volume(
        start_mass_g, volume_percent_20c, pressure_pa, distillate_volume_ml, temperature_c
    )
    whole_g: N = sums.ethanol_g(start_mass_g, volume_percent_20c)

    def again(share: N) -> N:
        by_mass: N = _over(volume_percent_20c, pressure_pa, share, difference_percent)
        density: N = spirit_density_kg_m3(by_mass, temperature_c) / 1000.0
        return distillate_volume_ml * density * by_mass / whole_g

    return _settled(first, again)


@formula("share-over-by-boiling-off", takes_arrays=("volume_percent_20c", "boiling_c", "difference_percent"))
def share_at_boiling_off(
    volume_percent_20c: N | float, pressure_pa: float, boiling_c: N | float, difference_percent: N | float
) -> N:
    """Share of the ethanol over when the flask boils at a temperature, if the distillate is off in strength. [1].

    Parameters
    ----------
    volume_percent_20c : float
        In the flask at the start. [% v/v]
    pressure_pa : float
        [Pa]
    boiling_c : float
        [°C]
    difference_percent : float
        Strength in truth less that by the boiling data. [% v/v]

    Notes
    -----
    What is left boils at its own strength x; with y over, y (z - x) / (z (y - x)) of the ethanol of z is over.
    """
    first: N = shares.share_at_boiling_point(volume_percent_20c, pressure_pa, boiling_c)
    start: N = sums.by_mass(volume_percent_20c)
    left: N = sums.by_mass(sums.residue_percent(volume_percent_20c, pressure_pa, first))

    def again(share: N) -> N:
        by_mass: N = _over(volume_percent_20c, pressure_pa, share, difference_percent)
        return by_mass * (start - left) / (start * (by_mass - left))

    return _settled(first, again)


def published_sets_differ(start_percent: float) -> Answer:
    """How far published boilings of spirit differ in what comes over.

    Parameters
    ----------
    start_percent : float
        In the flask at the start. [% v/v]

    Returns
    -------
    Answer
        Zero with its doubt: anything up to that difference either way is as likely. [% v/v]

    References
    ----------
    boiling-sets
    """
    rows = {at: rule(f"boiling-sets-differ-{at}").value for at in (20, 40, 70)}
    half = float(np.interp(start_percent, list(rows), list(rows.values())))
    where = f"laboratory_rules, boiling-sets-differ-40: {half:.2g} % v/v, by the rows of 20, 40 and 70"
    leaf = Leaf("published", where, shape="rectangular")
    return Answer(
        "what published boilings differ by",
        0.0,
        "%",
        half / math.sqrt(3.0),
        leaf=leaf,
        sources=("boiling-sets",),
    )


def share_at_stop(
    kind: StopAs, stop: Answer, start: Answer, have: Answer, pressure: Answer, temperature: Answer
) -> Answer:
    """The share of the ethanol that is over when the still is stopped.

    Parameters
    ----------
    kind : StopAs
        What the stop is a figure of. [text]
    stop : Answer
        [1, % v/v, °C, mL or g]
    start, have, pressure, temperature : Answer
        In the flask; of the distillate when it is measured. [g, % v/v, Pa, °C]

    Returns
    -------
    Answer
        [1]

    Raises
    ------
    OutsideModel
        This still never comes to that.
    """
    if kind == "share":
        return stop
    flask = {"volume_percent_20c": have, "pressure_pa": pressure}
    differ = published_sets_differ(have.value)
    if kind in ("distillate", "drip"):
        stop = reckoned(
            stop.name, sums.with_difference_percent, unit="%", basis=BASIS, fixed={"sign": -1.0},
            inputs={"percent": stop, "difference_percent": differ},
            says="what was asked, as far as published boilings agree", sources=("boiling-sets",),
        )  # fmt: skip
    # fmt: off
    ways: dict[str, tuple[Callable[..., float], dict[str, Answer]]] = {
        "distillate": (shares.share_at_distillate_percent, {"distillate_percent_20c": stop}),
        "drip": (shares.share_at_drip_percent, {"drip_percent_20c": stop}),
        "boiling": (share_at_boiling_off, {"boiling_c": stop, "difference_percent": differ}),
        "volume": (
            share_at_volume_off,
            {
                "start_mass_g": start, "distillate_volume_ml": stop, "temperature_c": temperature,
                "difference_percent": differ,
            },
        ),
        "mass": (
            share_at_mass_off,
            {"start_mass_g": start, "distillate_mass_g": stop, "difference_percent": differ},
        ),
    }
    # fmt: on
    function, more = ways[kind]
    return reckoned(
        "share of the ethanol that is over", function, unit="1", inputs={**flask, **more},
        says="where the run meets what was asked, by Rayleigh's balance", sources=SOURCES,
    )  # fmt: skip


def _over(
    volume_percent_20c: N | float, pressure_pa: float, share: N | float, difference_percent: N | float
) -> N:
    """Strength of the distillate by mass, off by a difference. [1]."""
    by_data: N = sums.distillate_percent(volume_percent_20c, pressure_pa, share)
    return sums.by_mass(sums.with_difference_percent(by_data, difference_percent))


def _settled(first: N | float, again: Callable[[N], N]) -> N:
    """A share worked out again from itself until it no longer moves: the strength hardly follows the share.

    Never more than all: where so much would hold more ethanol than there was, nearly all of it is over.
    """
    share = array(first)
    for _ in range(ROUNDS):
        before, share = (
            share,
            np.minimum(np.maximum(array(again(cast(N, like_given(share)))), 0.0), LAST_SHARE),
        )
        if (np.abs(share - before) <= CLOSE).all():
            break
    return cast(N, like_given(share))
