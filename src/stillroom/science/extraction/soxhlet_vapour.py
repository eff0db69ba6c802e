"""What rises from boiling spirit at one air pressure, worked once for all strengths: the Soxhlet asks for it often.

Promises the figures of the boiling model, of the density table and of the latent heats, read off a fine table; between
two rows the error is far below that of the models themselves.
"""

from dataclasses import dataclass

import numpy as np

from stillroom.science.arrays import Floats
from stillroom.science.heat.distilling import PureHeats, latent_heat_j_g
from stillroom.science.liquids.boiling import (
    BoilingModel,
    bubble_point_c,
    mass_fraction_from_mole_fraction,
    mole_fraction_from_mass_fraction,
    vapour_mole_fraction,
)
from stillroom.science.liquids.density import DensityTable, density_kg_m3

ROWS = 2000
AT_20C = 20.0


@dataclass(frozen=True, slots=True)
class VapourOver:
    """Vapour over boiling spirit, for strengths evenly spaced from 0 to 1 by mass."""

    pressure_pa: float
    """Air pressure it was worked for. [Pa]"""
    heats: PureHeats
    """Latent heats and heat capacities. [-]"""
    figures: Floats
    """Columns: ethanol in the vapour by mass [1], volume of a gram of its condensate at 20 °C [mL], its
    latent heat [J/g], boiling point of the liquid [°C], volume of a gram of the liquid at 20 °C [mL]. [-]"""

    def over(self, strength: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        """Ethanol in the vapour by mass [1], mL of a gram of condensate, J/g, boiling point [°C].

        Parameters
        ----------
        strength : array
            Of the boiling liquid, by mass [1].
        """
        found = self._read(strength)
        return found[..., 0], found[..., 1], found[..., 2], found[..., 3]

    def ml_per_g(self, strength: Floats) -> Floats:
        """Volume of a gram of spirit at 20 °C [mL/g].

        Parameters
        ----------
        strength : array
            By mass [1].
        """
        return self._read(strength)[..., 4]

    def capacity_j_g_k(self, strength: Floats) -> Floats:
        """Heat capacity of spirit [J/(g K)].

        Parameters
        ----------
        strength : array
            By mass [1].
        """
        ethanol, water = self.heats.ethanol_capacity_j_g_k, self.heats.water_capacity_j_g_k
        return np.asarray(strength * ethanol + (1.0 - strength) * water)

    def _read(self, strength: Floats) -> Floats:
        at = np.clip(strength, 0.0, 1.0) * ROWS
        row = np.minimum(at.astype(np.int64), ROWS - 1)
        low = self.figures[row]
        return np.asarray(low + (at - row)[..., None] * (self.figures[row + 1] - low))


def vapour_over(pressure_pa: float, table: DensityTable, model: BoilingModel, heats: PureHeats) -> VapourOver:
    """Work the vapour over spirit of every strength.

    Parameters
    ----------
    pressure_pa : float
        Pressure of the air [Pa].
    table : DensityTable
        Density of spirit [-].
    model : BoilingModel
        Boiling of spirit [-].
    heats : PureHeats
        Latent heats and heat capacities [-].

    Returns
    -------
    VapourOver
        To pass to ``soxhlet_course`` [record].

    Raises
    ------
    OutsideModel
        Outside the pressures the boiling model was checked for.

    Examples
    --------
    >>> import numpy as np
    >>> from stillroom.substances.spirits import ethanol_water_boiling, ethanol_water_heats, oiml_r22
    >>> spirit = vapour_over(101325.0, oiml_r22(), ethanol_water_boiling(), ethanol_water_heats())
    >>> float(spirit.over(np.array(0.956))[3])  # carey-lewis-1932 (78.15), second-hand
    78.2

    References
    ----------
    ethanol-water-nrtl-vle-ig, oiml-r22-1975
    """
    strength = np.linspace(0.0, 1.0, ROWS + 1)
    moles = np.asarray(mole_fraction_from_mass_fraction(strength, model))
    rising = np.asarray(
        mass_fraction_from_mole_fraction(np.asarray(vapour_mole_fraction(moles, pressure_pa, model)), model)
    )
    columns = (
        rising,
        1000.0 / np.asarray(density_kg_m3(rising, AT_20C, table)),
        np.asarray(latent_heat_j_g(rising, heats)),
        np.asarray(bubble_point_c(moles, pressure_pa, model)),
        1000.0 / np.asarray(density_kg_m3(strength, AT_20C, table)),
    )
    return VapourOver(pressure_pa, heats, np.stack(columns, axis=-1))
