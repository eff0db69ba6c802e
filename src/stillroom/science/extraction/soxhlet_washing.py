"""What a running Soxhlet takes out of the plant: a share washed out at once, and a slow pool inside the cells.

The share at broken surfaces dissolves in what stands in the thimble, is held by the plant as by so much liquid more,
and falls by the same ratio at each siphoning. The slow pool gives to it with time, faster when warmer and finer;
what it gave leaves with the next siphonings. Shares of what is within reach of the liquid, never of the whole plant.
Each thing that dissolves has shares and times of its own: call it once for the marker, once for the rest.
"""

from dataclasses import dataclass

import numpy as np

from stillroom.science.arrays import Floats, array, refuse_negative, refuse_not_positive, refuse_outside
from stillroom.science.extraction.soxhlet import SoxhletCourse


@dataclass(frozen=True, slots=True)
class SoxhletWashing:
    """Where one dissolving thing is, siphoning by siphoning, as shares of what is within reach."""

    out_share: Floats
    """In the flask after the siphoning. [1]"""
    siphoned_share: Floats
    """Brought by this siphoning. [1]"""
    dissolved_share: Floats
    """In the thimble's liquid, or held on the plant, just before it siphoned. [1]"""
    slow_share: Floats
    """Still inside the cells. [1]"""
    thimble_concentration: Floats
    """In a millilitre of the thimble's liquid just before it siphoned: times the grams within reach, g/mL. [1/mL]"""

    @property
    def left_share(self) -> Floats:
        """Share still in the thimble after each siphoning: in cells, on the plant, in its liquid [1]."""
        return np.asarray(1.0 - self.out_share)


def soxhlet_washing(
    course: SoxhletCourse,
    washed_share: float | Floats,
    slow_min: float | Floats,
    sorption_ml: float | Floats = 0.0,
) -> SoxhletWashing:
    """Follow one dissolving thing through a run.

    Parameters
    ----------
    course : SoxhletCourse
        The run of the liquid [-].
    washed_share : float or array
        Share that can be washed out at once [1].
    slow_min : float or array
        Time in which all but 1/e of the slow rest has left, at the temperature of the thimble; may have a row for each
        siphoning [min].
    sorption_ml : float or array
        Hold of the plant, as liquid that would hold as much [mL].

    Returns
    -------
    SoxhletWashing
        Shares after each siphoning [record].

    Raises
    ------
    BadEntry
        When a time or a volume is out of range.
    OutsideModel
        When the washed share lies outside 0 to 1.

    Notes
    -----
    Between siphonings dS/dt = -S / slow goes into the liquid; a siphoning leaves (heel + K') / (siphon + K') of what is
    dissolved. With nothing slow the share left after n is ((heel + K') / (siphon + K'))^n.

    Examples
    --------
    >>> from stillroom.science.extraction.soxhlet import SoxhletSetUp, soxhlet_course
    >>> from stillroom.science.extraction.soxhlet_vapour import vapour_over
    >>> from stillroom.substances.spirits import ethanol_water_boiling, ethanol_water_heats, oiml_r22
    >>> spirit = vapour_over(101325.0, oiml_r22(), ethanol_water_boiling(), ethanol_water_heats())
    >>> course = soxhlet_course(SoxhletSetUp(266.0, 0.9, 80.0, 20.0, 150.0), 2, spirit)
    >>> soxhlet_washing(course, 1.0, 90.0).left_share
    array([0.25  , 0.0625])

    References
    ----------
    extraction-practice
    """
    washed, slow, sorption = array(washed_share), array(slow_min), array(sorption_ml)
    refuse_outside("The washed share", washed, 0.0, 1.0, "1", source="extraction-practice")
    refuse_not_positive("The time of the slow share", slow, "min")
    refuse_negative("The adsorption on the plant", sorption, "mL")
    full, heel = array(course.set_up.siphon_ml) + sorption, array(course.set_up.heel_ml) + sorption
    faster = np.exp(-course.siphoning_min / slow)
    keeps = np.where(course.siphoned, heel / full, 1.0)
    shape = np.broadcast_shapes(faster.shape, keeps.shape, (1, *washed.shape))
    faster, keeps = np.broadcast_to(faster, shape), np.broadcast_to(keeps, shape)
    inside, dissolved, out = 1.0 - washed, washed, np.zeros(shape[1:])
    rows: list[tuple[Floats, ...]] = []
    for kept_inside, kept in zip(faster, keeps, strict=True):
        given = inside * (1.0 - kept_inside)
        inside, dissolved = inside * kept_inside, dissolved + given
        brought = dissolved * (1.0 - kept)
        out = out + brought
        rows.append((out, brought, dissolved, inside, dissolved / full))
        dissolved = dissolved * kept
    return SoxhletWashing(
        *(np.array([np.broadcast_to(row[at], shape[1:]) for row in rows]) for at in range(5))
    )
