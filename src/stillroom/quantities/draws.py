"""Named draws: what is uncertain, as rows of standard normals that keep their place.

Each input has a global name ("lot CIN-01/assay") and a spread. Its draws come from a counter-based bit
stream keyed by seed and name alone, so another input moves none of them, and two plans on one lot share
them. By default the draws of one set are then decorrelated in declared order: sample mean 0, sample standard
deviation 1, no sample correlation; an input added last moves none of the earlier ones. Says nothing about
how inputs are combined.
"""

import hashlib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from stillroom.errors import BadEntry, UnknownName, worded
from stillroom.quantities.spread import Array, Spread


@dataclass(frozen=True, eq=False)
class Draws:
    """Named inputs by draws of standard normals."""

    spreads: Mapping[str, Spread]
    """Every input in declared order [unit of each]."""
    matrix: Array
    """Standard normals, one row a draw, one column for each input that varies [1]."""
    seed: int
    """The seed [1]."""
    decorrelated: bool
    """Whether sample means, deviations and correlations were made exact [yes or no]."""

    @classmethod
    def of(
        cls, spreads: Mapping[str, Spread], draws: int = 4096, seed: int = 7, decorrelated: bool = True
    ) -> "Draws":
        """Draw every input.

        Parameters
        ----------
        spreads : mapping of str to Spread
            Inputs by global name; the order decides who moves whom when decorrelating [unit of each].
        draws : int
            How many draws [1].
        seed : int
            Zero or more; another seed gives an independent set [1].
        decorrelated : bool
            Make sample mean 0, deviation 1 and correlations 0 exactly [yes or no].

        Returns
        -------
        Draws
            The set [draws].

        Raises
        ------
        BadEntry
            Fewer draws than decorrelating needs, or a seed that is not a whole number of at least zero.
        """
        if isinstance(seed, bool) or not isinstance(seed, int) or seed < 0:
            raise BadEntry("A seed is a whole number of at least zero", repr(seed))
        if draws < 2:
            raise BadEntry("At least two draws are needed", repr(draws))
        kept = dict(spreads)
        varying = [name for name, spread in kept.items() if spread.varies]
        if decorrelated and draws < 2 * len(varying) + 2:
            raise BadEntry(
                "Decorrelating needs more draws than inputs",
                worded("{draws} draws of {varying} inputs", draws=draws, varying=len(varying)),
                worded("Take at least {varying} draws", varying=2 * len(varying) + 2),
            )
        matrix = np.empty((draws, len(varying)))
        for at, name in enumerate(varying):
            matrix[:, at] = standard_normals(name, draws, seed)
        if decorrelated and varying:
            matrix = _decorrelated(matrix)
        matrix.setflags(write=False)
        return cls(kept, matrix, seed, decorrelated)

    @property
    def names(self) -> tuple[str, ...]:
        """Every input in declared order [text]."""
        return tuple(self.spreads)

    @cached_property
    def varying(self) -> tuple[str, ...]:
        """The inputs that have a spread: the columns of ``matrix`` [text]."""
        return tuple(name for name, spread in self.spreads.items() if spread.varies)

    @property
    def count(self) -> int:
        """How many draws [1]."""
        return int(self.matrix.shape[0])

    def normals(self, name: str) -> Array:
        """The standard normals of one input.

        Parameters
        ----------
        name : str
            Its global name [text].

        Returns
        -------
        array
            One for each draw; zeros for an input without doubt [1].

        Raises
        ------
        UnknownName
            No such input; the nearest names are offered.
        """
        if name not in self.spreads:
            raise UnknownName.among(name, "an input", self.spreads)
        column = self._column_of.get(name)
        return np.zeros(self.count) if column is None else self.matrix[:, column]

    @cached_property
    def _column_of(self) -> dict[str, int]:
        return {name: column for column, name in enumerate(self.varying)}

    def value(self, name: str) -> Array:
        """The values of one input.

        Parameters
        ----------
        name : str
            Its global name [text].

        Returns
        -------
        array
            One for each draw [unit of the input].

        Raises
        ------
        UnknownName
            No such input; the nearest names are offered.
        """
        normals = self.normals(name)
        return self.spreads[name].value(normals)

    def moved(self, matrix: Array) -> "Draws":
        """The same inputs with other normals: what a reading makes of them.

        Parameters
        ----------
        matrix : array
            Normals, one row a draw, one column for each input that varies [1].

        Returns
        -------
        Draws
            The set after the reading; no longer exactly decorrelated [draws].

        Raises
        ------
        BadEntry
            The shape differs, or a number is not finite.
        """
        moved = np.array(matrix, dtype=np.float64)
        if moved.shape != self.matrix.shape or not np.isfinite(moved).all():
            raise BadEntry(
                "Moved draws must be finite and of the same shape",
                worded("{shape} for {shape_two}", shape=moved.shape, shape_two=self.matrix.shape),
            )
        moved.setflags(write=False)
        return replace(self, matrix=moved, decorrelated=False)

    def together(self, correlations: Mapping[str, Sequence[float]]) -> "Draws":
        """The same inputs, some of them going together: each keeps its own spread.

        Parameters
        ----------
        correlations : mapping of str to sequence of float
            Name of an input, and its row of correlations, one for each in their order; one that does not vary here is
            left out with its column. [1]

        Returns
        -------
        Draws
            The set, correlated [draws].

        Raises
        ------
        BadEntry
            The rows are no correlations.
        """
        here = [at for at, name in enumerate(correlations) if name in self._column_of]
        if len(here) < 2:
            return self
        rows = np.array([list(row) for row in correlations.values()], dtype=np.float64)[np.ix_(here, here)]
        try:
            lower = np.linalg.cholesky(rows)
        except np.linalg.LinAlgError as trouble:
            raise BadEntry(
                "Inputs that go together need correlations that can be",
                worded("{inputs} inputs", inputs=len(here)),
            ) from trouble
        columns = [self._column_of[name] for name in correlations if name in self._column_of]
        matrix = self.matrix.copy()
        matrix[:, columns] = self.matrix[:, columns] @ lower.T
        matrix.setflags(write=False)
        return replace(self, matrix=matrix, decorrelated=False)


def standard_normals(name: str, draws: int, seed: int) -> Array:
    """Standard normals that depend on nothing but name, seed and place.

    Parameters
    ----------
    name : str
        Global name of the input [text].
    draws : int
        How many [1].
    seed : int
        The seed [1].

    Returns
    -------
    array
        Standard normals as drawn [1].

    Notes
    -----
    Philox 4x64 keyed by the SHA-256 of seed and name; the upper 53 bits of each word, centred in their cell,
    go through the inverse of the normal distribution. NumPy promises bit streams to stay the same between
    versions, but not its distributions (its compatibility policy, from memory), so only bits are taken.
    """
    from scipy.special import ndtri

    return np.asarray(ndtri(even_draws(name, draws, seed)), dtype=np.float64)


def even_draws(name: str, draws: int, seed: int) -> Array:
    """The numbers between 0 and 1 behind ``standard_normals``, in the same order.

    Parameters
    ----------
    name : str
        Global name of the input [text].
    draws : int
        How many [1].
    seed : int
        The seed [1].

    Returns
    -------
    array
        Evenly spread, none of them 0 or 1 [1].
    """
    digest = hashlib.sha256(f"{seed}\n{name}".encode()).digest()
    key = np.frombuffer(digest[:16], dtype="<u8").astype(np.uint64)
    bits = np.random.Philox(key=key).random_raw(draws)
    return np.asarray(((bits >> np.uint64(11)).astype(np.float64) + 0.5) * 2.0**-53, dtype=np.float64)


def _decorrelated(matrix: Array) -> Array:
    # Gram-Schmidt with every projection done twice: a QR factorisation in which a column depends, to the last
    # bit, on the earlier columns only. Blocked library routines do not promise that.
    count, inputs = matrix.shape
    done = np.empty((inputs + 1, count))
    done[0] = 1.0 / math.sqrt(count)
    for place in range(inputs):
        column = matrix[:, place].copy()
        earlier = done[: place + 1]
        for _ in range(2):
            column -= (earlier @ column) @ earlier
        done[place + 1] = column / math.sqrt(float(column @ column))
    return np.ascontiguousarray(done[1:].T) * math.sqrt(count - 1)


__all__ = ["Draws", "Spread", "even_draws", "standard_normals"]
