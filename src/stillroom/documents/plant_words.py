"""What a lot of plant is like, in words."""

from stillroom.documents.numbers_shown import number
from stillroom.records.plant_entries import PlantDescribed
from stillroom.texts.catalogue import later, t

STATE = {"dry": later("dry"), "fresh": later("fresh")}
GRIND = {
    "whole": later("whole"),
    "cut": later("cut pieces"),
    "coarse": later("coarse powder"),
    "medium": later("medium powder"),
    "fine": later("fine powder"),
}


def moisture_words(one: PlantDescribed) -> str:
    """Whether it is dry or fresh, and its moisture; "" where nobody said."""
    said = [t(STATE[one.state])] if one.state else []
    if one.moisture_percent is not None:
        half = 2.0 * (one.moisture_standard_uncertainty_percent or 0.0)
        said.append(
            t("{percent} ± {half} % moisture", percent=number(one.moisture_percent, 1), half=number(half, 1))
        )
    return ", ".join(said)


def grind_words(one: PlantDescribed) -> str:
    """How fine it is; "" where nobody said."""
    said = [t(GRIND[one.grind])] if one.grind else []
    if one.particle_mm is not None:
        said.append(t("{size} mm by sieve", size=number(one.particle_mm, 2)))
    return ", ".join(said)


def card_words(one: PlantDescribed) -> str:
    """All that is known of it, in half a sentence; "" where nobody said."""
    harvested = t("harvested {month}", month=one.harvested) if one.harvested else ""
    said = (moisture_words(one), grind_words(one), one.place, harvested)
    return ", ".join(each for each in said if each)


def card_facts(one: PlantDescribed) -> list[tuple[str, str]]:
    """What is known of it, a line for each."""
    said = (
        (t("Fresh or dry"), moisture_words(one)),
        (t("Grind"), grind_words(one)),
        (t("Grew in"), one.place),
        (t("Harvested"), one.harvested),
    )
    return [(label, words) for label, words in said if words]
