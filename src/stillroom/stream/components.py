"""The stream: grams of components, one column for each draw.

Promises that a component is a mass that can be weighed or assayed, never a share. The marker is counted as one
compound, whichever the order names (mixed alkaloids as one base, phenols as gallic acid): exact in moles, so that
acid, ammonia and titration agree; the true mass may differ, and that difference is carried by what else the plant
gives. Hydrogen chloride bound to an alkaloid is counted as hydrogen chloride. Says nothing about volumes; a kind of
step that needs one asks for a density.
"""

from collections.abc import Mapping
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from stillroom.errors import BadEntry, UnknownName, worded

Array: TypeAlias = NDArray[np.float64]
Number: TypeAlias = float | Array
Grams: TypeAlias = NDArray[np.float64]

COMPONENTS = (
    "plant solids",
    "water",
    "ethanol",
    "ethyl acetate",
    "hydrogen chloride",
    "ammonia",
    "ammonium chloride",
    "marker",
    "other extractables",
    "formula ingredients",
    "glycerol",
    "fixed oil",
)
AT = {name: row for row, name in enumerate(COMPONENTS)}
(
    SOLIDS, WATER, ETHANOL, SOLVENT, ACID, AMMONIA, SALT, MARKER, OTHERS, INGREDIENTS, GLYCEROL, FIXED_OIL,
) = range(len(COMPONENTS))  # fmt: skip
VOLATILE = (WATER, ETHANOL, SOLVENT)
LIQUIDS = (WATER, ETHANOL, GLYCEROL, FIXED_OIL)
"""What a plant stands in and drains from it."""


def nothing(draws: int) -> Grams:
    """An empty stream.

    Parameters
    ----------
    draws : int
        Number of columns. [1]
    """
    return np.zeros((len(COMPONENTS), draws))


def made_of(makeup: Mapping[str, Number], mass_g: Number, draws: int) -> Grams:
    """A stream of the given mass and make-up.

    Parameters
    ----------
    makeup : mapping of str to float or array
        Component and its share of the mass; the shares sum to one. [g/g]
    mass_g : float or array
        Mass, one for each draw or one for all. [g]
    draws : int
        Number of columns. [1]

    Raises
    ------
    UnknownName
        A component is not known.
    BadEntry
        The shares do not sum to one, or one lies below zero.
    """
    stream = nothing(draws)
    for name, share in makeup.items():
        if name not in AT:
            raise UnknownName.among(name, "a component of the stream", AT)
        stream[AT[name]] = share
    whole = stream.sum(axis=0)
    if not np.allclose(whole, 1.0, rtol=0, atol=1e-9):
        raise BadEntry(
            "The shares of a make-up must sum to 1",
            worded("{min:.6g} to {max:.6g}", min=whole.min(), max=whole.max()),
        )
    if stream.min() < 0:
        raise BadEntry("A share of a make-up cannot be below zero", f"{stream.min():.6g}")
    return stream * mass_g


def whole_mass(stream: Grams) -> Array:
    """Mass of the whole stream, for each draw.

    Parameters
    ----------
    stream : array
        Grams of components by draws. [g]

    Returns
    -------
    array
        Mass. [g]
    """
    return np.asarray(stream.sum(axis=0))


def only(stream: Grams, *rows: int) -> Grams:
    """The stream with nothing but the given components.

    Parameters
    ----------
    stream : array
        Grams of components by draws. [g]
    *rows : int
        Rows to keep. [-]
    """
    kept = np.zeros_like(stream)
    for row in rows:
        kept[row] = stream[row]
    return kept
