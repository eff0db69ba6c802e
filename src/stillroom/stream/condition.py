"""A reading moves what we thought of the inputs, never the outputs, so that masses still close afterwards.

Square-root update: the draws of every input (as standard normals) are shifted and drawn together by their
correlation with the forecast. Exact when the forecast is linear in the normals and the draws are
decorrelated; otherwise an approximation that ``condition_through`` betters by taking the reading in small
parts and running the stream again. A reading far from anything forecast is asked about, never used.
"""

from collections.abc import Callable

import numpy as np

from stillroom.errors import BadEntry, worded
from stillroom.quantities.draws import Draws
from stillroom.stream.components import Array

FARTHEST = 3.5


def condition(
    draws: Draws, forecast: Array, reading: float, standard_uncertainty: float, *, farthest: float = FARTHEST
) -> Draws:
    """The draws after one reading.

    Parameters
    ----------
    draws : Draws
        Inputs before the reading.
    forecast : array
        What each draw says the reading would be. [unit of the reading]
    reading : float
        What was read. [unit]
    standard_uncertainty : float
        Of the reading itself. [unit]
    farthest : float
        Standard deviations beyond which the reading is asked about. [1]

    Returns
    -------
    Draws
        The same inputs, narrower.

    Raises
    ------
    BadEntry
        The reading lies further from the forecast than that, or an uncertainty is not above zero.

    Notes
    -----
    z' = z + K (reading - mean) - a K (f - mean), K = cov(z, f) / (var f + R), a = 1 / (1 + sqrt(R / (var f +
    R))).
    """
    _must_be_believable(forecast, reading, standard_uncertainty, farthest)
    return draws.moved(_moved(draws.matrix, forecast, reading, standard_uncertainty**2))


def condition_through(
    draws: Draws,
    model: Callable[[Draws], Array],
    reading: float,
    standard_uncertainty: float,
    *,
    passes: int = 4,
    farthest: float = FARTHEST,
    first: Array | None = None,
) -> Draws:
    """The draws after one reading of something that is not linear in the inputs.

    Parameters
    ----------
    draws, reading, standard_uncertainty, farthest
        As in ``condition``.
    model : callable
        Inputs to what would be read, by running the stream. [unit of the reading]
    passes : int
        In how many parts the reading is taken, the stream being run again for each. [1]
    first : array, optional
        What ``model`` gives for ``draws``, where that is known already. [unit of the reading]

    Raises
    ------
    BadEntry
        The reading lies too far from the forecast.
    """
    for done in range(passes):
        forecast = model(draws) if done or first is None else first
        if not done:
            _must_be_believable(forecast, reading, standard_uncertainty, farthest)
        draws = draws.moved(_moved(draws.matrix, forecast, reading, passes * standard_uncertainty**2))
    return draws


def _moved(normals: Array, forecast: Array, reading: float, variance: float) -> Array:
    middle = forecast.mean()
    apart = forecast - middle
    degrees = forecast.size - 1
    spread = float(apart @ apart) / degrees
    total = spread + variance
    gain = (normals - normals.mean(axis=0)).T @ apart / degrees / total
    narrowing = 1.0 / (1.0 + np.sqrt(variance / total))
    return np.asarray(normals + np.outer((reading - middle) - narrowing * apart, gain))


def _must_be_believable(
    forecast: Array, reading: float, standard_uncertainty: float, farthest: float
) -> None:
    if not standard_uncertainty > 0:
        raise BadEntry(
            "The standard uncertainty of a reading must be above zero", f"{standard_uncertainty:.6g}"
        )
    middle = float(forecast.mean())
    spread = float(np.hypot(forecast.std(ddof=1), standard_uncertainty))
    off = (reading - middle) / spread
    if not abs(off) <= farthest:
        raise BadEntry(
            worded(
                "A reading more than {farthest:g} standard deviations from the forecast is asked about first",
                farthest=farthest,
            ),
            worded(
                "{reading:.6g}, where {middle:.6g} ± {spread:.3g} was expected ({off:+.1f} standard deviations)",
                reading=reading,
                middle=middle,
                spread=spread,
                off=off,
            ),
            "Read it again; if it stands, note what happened as a deviation",
        )
