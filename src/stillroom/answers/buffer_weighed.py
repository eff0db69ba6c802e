"""A buffer weighed from two salts: how much of each, what pH to expect, how much it holds, what a reading can tell.

Promises the pair's own pH range or a sentence that names it. The pH is that at 25 °C by charge balance; a shift with
warmth is told beside it. A strip of paper tells half a unit, a calibrated meter some hundredths: the difference is
carried, never rounded away.
"""

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

from stillroom.answers.budget import Stated, stated
from stillroom.errors import OutsideModel, worded
from stillroom.evidence.answer import Answer, assumed, reading, reckoned
from stillroom.evidence.formulas import formula
from stillroom.science.solutions.acidity import cations_needed_mol_l, solve_acidity
from stillroom.substances.acids import BufferPair, buffer_pair

SOURCES = ("martell-smith", "davies-1962")
MODEL_LIMITS_PH = 0.02
"""Within this the calculation meets the standard buffers it was tried on."""
STRIP_LIMITS_PH = 0.5
METER_LIMITS_PH = 0.05
UNCALIBRATED_LIMITS_PH = 0.2
STEP_PH = 1e-3
MODEL_TEMPERATURE_C = 25.0
ReadBy: TypeAlias = Literal["strip", "meter", "meter, not calibrated here"]
LIMITS_PH: dict[ReadBy, float] = {
    "strip": STRIP_LIMITS_PH,
    "meter": METER_LIMITS_PH,
    "meter, not calibrated here": UNCALIBRATED_LIMITS_PH,
}


@dataclass(frozen=True, slots=True)
class Weighed:
    """A buffer worked out.

    ``acid_form``, ``base_form``: salts to weigh. [g]
    ``lowest``, ``highest``: pH of either salt alone at that strength. [1]
    """

    acid_form: Answer
    base_form: Answer
    expected: Stated
    """pH to expect at 25 °C. [1]"""
    at_room: Answer | None
    """The same at the temperature of the room; None where that or the shift is not known. [1]"""
    capacity: Answer
    """Strong base for a unit of pH. [mol/L]"""
    ionic_strength: Answer
    """[mol/L]"""
    reading: Stated
    """What the strip or meter will show, with its own doubt. [1]"""
    lowest: float
    highest: float


@formula("buffer-base-share")
def base_share(ph: float, total_mol_l: float, *, pair: str) -> float:
    """Share of a buffer that is weighed as its form with fewer protons. [1].

    Parameters
    ----------
    ph : float
        Wanted, at 25 °C. [1]
    total_mol_l : float
        Both forms together. [mol/L]
    pair : str
        Key of ``buffer_pairs``. [text]
    """
    known = buffer_pair(pair)
    needed = float(cations_needed_mol_l([known.protolyte], [total_mol_l], ph))
    return (needed / total_mol_l - known.acid_cations) / (known.base_cations - known.acid_cations)


@formula("buffer-ph")
def buffer_ph(
    base_share: float, total_mol_l: float, constant_error: float = 0.0, *, pair: str, part: str = "ph"
) -> float:
    """PH, or ionic strength, of a buffer of known shares. [1, or mol/L].

    Parameters
    ----------
    base_share : float
        Share weighed as the form with fewer protons. [1]
    total_mol_l : float
        Both forms together. [mol/L]
    constant_error : float
        How far constants and activities may be off together. [1]
    pair : str
        Key of ``buffer_pairs``. [text]
    part : str
        "ph" or "ionic_strength_mol_l". [text]
    """
    known = buffer_pair(pair)
    ions = total_mol_l * (known.acid_cations + base_share * (known.base_cations - known.acid_cations))
    found = solve_acidity([known.protolyte], [total_mol_l], max(ions, 0.0), max(-ions, 0.0))
    if part == "ionic_strength_mol_l":
        return float(found.ionic_strength_mol_l)
    return float(found.ph) + constant_error


@formula("weighed-buffer-ph")
def weighed_buffer_ph(
    acid_g: float,
    base_g: float,
    acid_error_g: float,
    base_error_g: float,
    acid_molar_mass_g_mol: float,
    base_molar_mass_g_mol: float,
    volume_ml: float,
    constant_error: float,
    *,
    pair: str,
) -> float:
    """PH of a buffer of two salts as they were weighed. [1].

    Parameters
    ----------
    acid_g, base_g, acid_error_g, base_error_g : float
        To weigh, and what the scale may be off. [g]
    acid_molar_mass_g_mol, base_molar_mass_g_mol : float
        For one buffering unit. [g/mol]
    volume_ml : float
        [mL]
    constant_error : float
        [1]
    pair : str
        Key of ``buffer_pairs``. [text]
    """
    acid_mol, base_mol = (
        max(mass + error, 1e-6 * mass) / molar
        for mass, error, molar in (
            (acid_g, acid_error_g, acid_molar_mass_g_mol),
            (base_g, base_error_g, base_molar_mass_g_mol),
        )
    )
    both = acid_mol + base_mol
    return buffer_ph(base_mol / both, 1000.0 * both / volume_ml, constant_error, pair=pair)


@formula("buffer-salt")
def salt_g(share: float, total_mol_l: float, volume_ml: float, molar_mass_g_mol: float) -> float:
    """Salt for a share of a buffer. [g].

    Parameters
    ----------
    share : float
        Of the buffer, weighed as this salt. [1]
    total_mol_l : float
        [mol/L]
    volume_ml : float
        [mL]
    molar_mass_g_mol : float
        For one buffering unit. [g/mol]
    """
    return share * total_mol_l * volume_ml / 1000.0 * molar_mass_g_mol


@formula("rest-of-share")
def rest_of(share: float) -> float:
    """What a share leaves. [1].

    Parameters
    ----------
    share : float
        [1]
    """
    return 1.0 - share


@formula("buffer-capacity")
def capacity_mol_l(ph: float, total_mol_l: float, *, pair: str) -> float:
    """Strong base that moves a litre by one unit of pH. [mol/L].

    Parameters
    ----------
    ph : float
        [1]
    total_mol_l : float
        [mol/L]
    pair : str
        Key of ``buffer_pairs``. [text]
    """
    known = [buffer_pair(pair).protolyte]
    above, below = (
        float(cations_needed_mol_l(known, [total_mol_l], ph + side * STEP_PH)) for side in (1.0, -1.0)
    )
    return (above - below) / (2.0 * STEP_PH)


@formula("buffer-ph-in-the-room")
def ph_at(ph: float, per_k: float, temperature_c: float) -> float:
    """PH of a buffer in a room that is not at 25 °C. [1].

    Parameters
    ----------
    ph : float
        At 25 °C. [1]
    per_k : float
        Shift with warmth. [1/K]
    temperature_c : float
        [°C]
    """
    return ph + per_k * (temperature_c - MODEL_TEMPERATURE_C)


@formula("ph-shown")
def shown_ph(ph: float, instrument_error: float) -> float:
    """What an instrument shows. [1].

    Parameters
    ----------
    ph : float
        [1]
    instrument_error : float
        Of the strip or meter. [1]
    """
    return ph + instrument_error


def instrument_error(read_by: ReadBy, limits: float | None = None) -> Answer:
    """The doubt of a strip or a meter.

    Parameters
    ----------
    read_by : ReadBy
        What it is read with. [text]
    limits : float or None
        How far it may be off either way, where somebody said. [1]
    """
    half = LIMITS_PH[read_by] if limits is None else limits
    because = {
        "strip": "a strip is read to half a unit either way: common practice, no source",
        "meter": "a meter calibrated today with two buffers around it: common practice, no source",
        "meter, not calibrated here": "a meter whose calibration does not reach around it: common practice, no source",
    }[read_by]
    if limits is not None:
        because = "as asked"
    return assumed(
        f"error of the {read_by.partition(',')[0]}", 0.0, "", because, standard_uncertainty=half / 3**0.5
    )


def weighed(
    pair: BufferPair,
    ph: Answer,
    total: Answer,
    volume: Answer,
    error: Answer,
    temperature: Answer | None,
    scale_step: Answer,
) -> Weighed:
    """Work a buffer out.

    Parameters
    ----------
    pair : BufferPair
        The two salts. [record]
    ph : Answer
        Wanted, at 25 °C. [1]
    total : Answer
        Both salts together. [mol/L]
    volume : Answer
        [mL]
    error : Answer
        Of the strip or meter. [1]
    temperature : Answer or None
        Of the room. [°C]
    scale_step : Answer
        Readability of the scale the salts are weighed on. [g]

    Returns
    -------
    Weighed
        Salts, pH and what it holds. [record]

    Raises
    ------
    OutsideModel
        The pair does not reach that pH, or the solution is too strong to reckon.
    """
    fixed: dict[str, str | float | int | bool] = {"pair": pair.pair}
    lowest, highest = (buffer_ph(share, total.value, pair=pair.pair) for share in (0.0, 1.0))
    if not lowest <= ph.value <= highest:
        raise OutsideModel(
            worded(
                "{pair} at {total:g} mol/L is weighed between pH {lowest:.2f} and {highest:.2f}",
                pair=pair.pair.capitalize(),
                total=total.value,
                lowest=lowest,
                highest=highest,
            ),
            worded("pH {ph:g}", ph=ph.value),
            "Choose a pair whose constant lies within one unit of it",
            where="ph",
        )
    share = reckoned(
        f"share weighed as {pair.base_form}", base_share, unit="", inputs={"ph": ph, "total_mol_l": total},
        fixed=fixed, says="the share whose ions balance all charges at that pH", sources=SOURCES,
    )  # fmt: skip
    rest = reckoned(
        f"share weighed as {pair.acid_form}", rest_of, unit="", inputs={"share": share}, says="the rest"
    )
    parts = [
        reckoned(
            name, salt_g, unit="g",
            inputs={"share": part, "total_mol_l": total, "volume_ml": volume, "molar_mass_g_mol": mass},
            says="its share of the moles, times its molar mass",
        )
        for name, part, mass in (
            (pair.acid_form, rest, pair.acid_mass),
            (pair.base_form, share, pair.base_mass),
        )
    ]  # fmt: skip
    constants = assumed(
        "error of constants and activities", 0.0, "",
        f"the calculation meets standard buffers within {MODEL_LIMITS_PH:g}",
        standard_uncertainty=MODEL_LIMITS_PH / math.sqrt(3.0), shape="rectangular",
    )  # fmt: skip
    acid_off, base_off = (
        reading(
            f"weighing of {name}", 0.0, "g", f"empty and full on a scale of {scale_step.value:g} g, half a step each",
            standard_uncertainty=scale_step.value / math.sqrt(6.0),
        )
        for name in (pair.acid_form, pair.base_form)
    )  # fmt: skip
    expected = reckoned(
        "pH to expect", weighed_buffer_ph, unit="", fixed=fixed, basis="at 25 °C",
        inputs={
            "acid_g": parts[0], "base_g": parts[1], "acid_error_g": acid_off, "base_error_g": base_off,
            "acid_molar_mass_g_mol": pair.acid_mass, "base_molar_mass_g_mol": pair.base_mass, "volume_ml": volume,
            "constant_error": constants,
        },
        says="charge balance with Davies activities", sources=SOURCES,
    )  # fmt: skip
    at_room = None
    if temperature is not None and pair.per_k is not None:
        at_room = reckoned(
            "pH at that temperature", ph_at, unit="",
            inputs={"ph": expected, "per_k": pair.per_k, "temperature_c": temperature},
            basis=f"at {temperature.value:g} °C", says="moved by the shift of that buffer with warmth",
            sources=("buffer-salts",),
        )  # fmt: skip
    shown = reckoned(
        "what it will show", shown_ph, unit="", inputs={"ph": at_room or expected, "instrument_error": error},
        says="the pH, as surely as that instrument reads",
    )  # fmt: skip
    return Weighed(
        parts[0],
        parts[1],
        stated(expected),
        at_room,
        reckoned(
            "strong base for one unit of pH", capacity_mol_l, unit="mol/L",
            inputs={"ph": ph, "total_mol_l": total}, fixed=fixed,
            says="how fast the ions needed change with pH", sources=SOURCES,
        ),
        reckoned(
            "ionic strength", buffer_ph, unit="mol/L", inputs={"base_share": share, "total_mol_l": total},
            fixed={**fixed, "part": "ionic_strength_mol_l"}, says="half the sum of ions times charge squared",
        ),
        stated(shown),
        lowest,
        highest,
    )  # fmt: skip
