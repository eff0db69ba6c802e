"""What a measuring vessel holds when it is not at the temperature its marks are meant for.

A vessel marked at 20 °C holds a little more when it is warm. Assumes liquid and vessel are at one temperature;
says nothing about the liquid itself, whose expansion is far larger.
"""

from typing import cast

from stillroom.evidence.formulas import formula
from stillroom.science.arrays import N, array, like_given, refuse_not_positive


@formula("mark-for-volume")
def mark_for_volume_ml(
    volume_ml: N | float,
    temperature_c: N | float,
    vessel_expansion_per_k: float,
    *,
    base_temperature_c: float = 20.0,
) -> N:
    """The mark to fill to, so that a vessel holds a volume at the temperature it has now.

    Parameters
    ----------
    volume_ml : float or array
        Volume wanted at that temperature [mL].
    temperature_c : float or array
        Temperature of vessel and liquid [°C].
    vessel_expansion_per_k : float
        Cubic expansion of what the vessel is made of [1/K].
    base_temperature_c : float
        Temperature the marks are meant for [°C].

    Returns
    -------
    float or array
        Reading of the mark [mL].

    Raises
    ------
    BadEntry
        When the volume is not above zero.

    Notes
    -----
    V(t) = V(base) (1 + gamma (t - base)).

    Examples
    --------
    >>> mark_for_volume_ml(1000.0, 30.0, 25e-6)
    999.75

    References
    ----------
    iso-4787
    """
    volume, temperature = array(volume_ml), array(temperature_c)
    refuse_not_positive("The volume wanted", volume, "mL")
    return cast(N, like_given(volume / _grown(temperature, vessel_expansion_per_k, base_temperature_c)))


@formula("volume-at-mark")
def volume_at_mark_ml(
    mark_ml: N | float,
    temperature_c: N | float,
    vessel_expansion_per_k: float,
    *,
    base_temperature_c: float = 20.0,
) -> N:
    """What a vessel filled to a mark holds at the temperature it has now; the inverse of ``mark_for_volume_ml``.

    Parameters
    ----------
    mark_ml : float or array
        Figure at the mark [mL].
    temperature_c : float or array
        Temperature of vessel and liquid [°C].
    vessel_expansion_per_k : float
        Cubic expansion of what the vessel is made of [1/K].
    base_temperature_c : float
        Temperature the marks are meant for [°C].

    Returns
    -------
    float or array
        Volume at that temperature [mL].

    Raises
    ------
    BadEntry
        When the mark is not above zero.

    Examples
    --------
    >>> volume_at_mark_ml(1000.0, 30.0, 25e-6)
    1000.25

    References
    ----------
    iso-4787
    """
    mark, temperature = array(mark_ml), array(temperature_c)
    refuse_not_positive("The mark", mark, "mL")
    return cast(N, like_given(mark * _grown(temperature, vessel_expansion_per_k, base_temperature_c)))


def _grown(temperature_c: N, expansion_per_k: float, base_temperature_c: float) -> N:
    return 1.0 + expansion_per_k * (temperature_c - base_temperature_c)
