"""What is known of a plant, in the shape a plan takes it; each part None where nothing is."""

from dataclasses import dataclass

from stillroom.substances.plant_contents import plant_material, typical_content


@dataclass(frozen=True, slots=True)
class Typical:
    """What is usual of a plant.

    ``by_water_percent``, ``by_spirit_percent``: all that is extracted from the dried plant, low and high. [%
    w/w]
    """

    content_percent: tuple[float, float] | None = None
    """Low and high content of the dried plant. [% w/w]"""
    content_because: str = ""
    drying_loss_percent: float | None = None
    """Of the plant as it is bought. [% w/w]"""
    by_water_percent: tuple[float, float] | None = None
    by_spirit_percent: tuple[float, float] | None = None
    because: str = ""
    """Where loss on drying and extractables come from."""


def typical(plant: str, marker: str) -> Typical:
    """What is known of a plant and a marker in it.

    Parameters
    ----------
    marker : str
        What is counted: "rosmarinic acid", "total phenols".
    """
    content, material = typical_content(plant, marker), plant_material(plant)
    if material is None:
        return Typical()
    return Typical(
        content_percent=(content.low_percent_dried, content.high_percent_dried) if content else None,
        content_because=content.because if content else "",
        drying_loss_percent=material.loss_on_drying_percent,
        by_water_percent=material.by_water_percent,
        by_spirit_percent=material.by_spirit_percent,
        because=material.because,
    )
