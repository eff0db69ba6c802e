"""The arithmetic of a dose: grams for a strength, the step of the scale, the content that comes out.

Plain functions, so that an answer can name them and be reckoned again.
"""

from stillroom.errors import BadEntry, worded
from stillroom.evidence.formulas import formula
from stillroom.quantities.rounding import down_to_step, to_step, up_to_step


@formula("dose")
def dose_mass_g(bulk_mass_g: float, aim_percent: float, strength_percent: float) -> float:
    """Mass of an extract that brings a bulk to a content.

    Parameters
    ----------
    bulk_mass_g : float
        Finished bulk, the extract included. [g]
    aim_percent : float
        Content wanted. [% w/w of the bulk]
    strength_percent : float
        Content of the extract as is, reckoned as the same compound. [% w/w of the extract]

    Returns
    -------
    float
        Mass of the extract as is. [g]

    Raises
    ------
    BadEntry
        The aim is not below the strength, or something is not above zero.

    Notes
    -----
    m = bulk aim / strength.
    """
    if not (bulk_mass_g > 0 and aim_percent > 0 and strength_percent > 0):
        raise BadEntry(
            "Bulk, aim and strength must lie above zero",
            f"{bulk_mass_g:g} g, {aim_percent:g} %, {strength_percent:g} %",
        )
    if aim_percent > strength_percent:
        raise BadEntry(
            "A product cannot be stronger than its extract",
            worded(
                "aim {aim_percent:g} %, extract {strength_percent:g} %",
                aim_percent=aim_percent,
                strength_percent=strength_percent,
            ),
            "Look whether aim and strength were swapped",
        )
    return bulk_mass_g * aim_percent / strength_percent


@formula("on-the-scale")
def on_the_scale_g(mass_g: float, scale_step_g: float, way: str) -> float:
    """A mass as the scale can show it.

    Parameters
    ----------
    mass_g : float
        Exact mass. [g]
    scale_step_g : float
        Smallest step of the scale. [g]
    way : str
        "nearest", "up" (enough of what must reach) or "down" (no more than a ceiling allows). [text]

    Returns
    -------
    float
        A whole number of steps. [g]

    Raises
    ------
    BadEntry
        The way is none of the three, or the step is not above zero.
    """
    ways = {"nearest": to_step, "up": up_to_step, "down": down_to_step}
    if way not in ways:
        raise BadEntry("A mass is rounded to the nearest step, up or down", repr(way))
    return float(ways[way](mass_g, scale_step_g))


@formula("content-of-bulk")
def content_of_bulk_percent(
    mass_g: float, strength_percent: float, bulk_mass_g: float, weighing_difference_g: float = 0.0
) -> float:
    """Content of a bulk from the extract that went in.

    Parameters
    ----------
    mass_g : float
        Extract as is. [g]
    strength_percent : float
        Content of the extract as is. [% w/w of the extract]
    bulk_mass_g : float
        Finished bulk. [g]
    weighing_difference_g : float
        Zero, with the reading of the scale as its uncertainty. [g]

    Returns
    -------
    float
        Content. [% w/w of the bulk]
    """
    return (mass_g + weighing_difference_g) * strength_percent / bulk_mass_g


@formula("content-by-fixed-share")
def content_by_rule_percent(extract_percent: float, strength_percent: float) -> float:
    """Content of a product that holds a fixed share of extract, whatever its strength.

    Parameters
    ----------
    extract_percent : float
        Share of extract. [% w/w of the product]
    strength_percent : float
        Content of the extract as is. [% w/w of the extract]

    Returns
    -------
    float
        Content. [% w/w of the product]
    """
    return extract_percent * strength_percent / 100.0
