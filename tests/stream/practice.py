"""The practice extraction and formula with shelf feeds, at their medians."""

from collections.abc import Mapping

import numpy as np

from stillroom.stream.account import Account
from stillroom.stream.components import Grams, made_of
from stillroom.stream.kind import Feed
from stillroom.stream.kinds import KINDS
from stillroom.stream.run import run
from stillroom.substances.spirits import spirit_mass_fraction
from tests.planning.practice import procedure

STOCK = spirit_mass_fraction(0.96)
BARK = {"water": 0.095, "marker": 0.0747, "other extractables": 0.27, "plant solids": 0.5603}
FEEDS = {
    "bark": Feed(BARK),
    "stock spirit": Feed({"ethanol": STOCK, "water": 1 - STOCK}, 0.807),
    "water": Feed({"water": 1.0}, 0.9982),
    "acid": Feed({"hydrogen chloride": 0.1, "water": 0.9}),
    "ammonia": Feed({"ammonia": 0.1, "water": 0.9}),
    "ethyl acetate": Feed({"ethyl acetate": 1.0}, 0.9003),
}
TONIC_FEEDS = {
    "spirit": Feed({"ethanol": STOCK, "water": 1 - STOCK}, 0.807),
    "glycerin": Feed({"formula ingredients": 1.0}),
    "panthenol": Feed({"formula ingredients": 1.0}),
    "extract": Feed({"marker": 0.384, "other extractables": 0.585, "water": 0.031}),
    "water": Feed({"water": 1.0}, 0.9982),
}


def extraction(scale_g: float | np.ndarray = 250.0, draws: int = 1, **settings: object) -> Account:
    named = {name.replace("__", "/").replace("0", " "): value for name, value in settings.items()}
    return run(procedure("bark-extract"), FEEDS, named, scale_g, draws, with_work=True)


def step_settings(code: str, step: str, **changes: float) -> Mapping[str, float]:
    return {one.name: one.value for one in procedure(code).step(step).settings} | changes


def stream(draws: int = 1, **grams: float | np.ndarray) -> Grams:
    named = {name.replace("_", " "): value for name, value in grams.items()}
    whole = sum(named.values())
    return made_of({name: value / whole for name, value in named.items()}, whole, draws)


def works(kind: str, inlets: tuple[Grams, ...], settings: Mapping[str, object]):
    return KINDS[kind].works(inlets, settings)
