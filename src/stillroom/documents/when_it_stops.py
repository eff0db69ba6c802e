"""What a step in hand needs when water or power goes: one sentence for each kind of step.

Common practice, no source. The cautions of the step and local codes come before any sentence here, and heat off at
the plug comes before all of them.
"""

from stillroom.texts.catalogue import later, t

STANDS = "stands"
WHEN_IT_STOPS: dict[str, str] = {
    "distil": "boiling",
    "drive off spirit": "boiling",
    "soxhlet": "soxhlet",
    "hydrodistil": "boiling",
    "concentrate": "boiling",
    "strip solvent": "strip_solvent",
    "evaporate": "evaporate",
    "infuse": "infuse",
    "dry": "dry",
    "percolate": "percolate",
    "macerate": "macerate",
    "press": "press",
    "filter": "filter",
    "separate oil": "separate_oil",
    "acidify and filter": "acidify_and_filter",
    "basify": "basify",
    "partition": "partition",
    "mix to strength": "mix_to_strength",
    "mix": "mix",
    "moisten": "stands",
    "set aside": "stands",
    "blend": "blend",
    "fill": "fill",
}
"""Name of the sentence of each kind of step."""


_SAID = {
    "boiling": later(
        "Heater off at the plug and away from the flask. Leave the cooling running if there "
        "is any, open the receiver to the air, and let it go cold. Fresh chips before it "
        "boils again."
    ),
    "stands": later("Nothing is heated: cover it, and it may stand. Write for how long."),
    "soxhlet": later(
        "Heater off at the plug. Let the last siphoning run back and leave the thimble in "
        "place; a boil without cooling lets the solvent out into the room."
    ),
    "strip_solvent": later(
        "Bath off at the plug and lowered. Let air in before it cools, or it sucks liquid back. No "
        "solvent vapour near a plug when the power returns."
    ),
    "evaporate": later(
        "Bath off at the plug. Cover it once it is cool enough: a wet extract spoils when warm."
    ),
    "infuse": later(
        "Hot plate off at the plug. Strain it while it is hot if the minutes are over; else "
        "begin again, for a lukewarm infusion spoils."
    ),
    "dry": later(
        "Oven off at the plug and its door ajar. Solvent-wet material comes out of a warm "
        "oven first, without a spark. Dry on from the last weighing, not from the clock."
    ),
    "percolate": later(
        "Close the tap before the liquid falls below the top of the bed, cover both vessels, "
        "and note the level. A bed that ran dry is packed again."
    ),
    "macerate": later(
        "It stands covered without power or water. Shake it by hand, and note the "
        "temperature if the room grows warmer."
    ),
    "press": later("Let the pressure go, cover marc and liquid, and press on by hand or later the same day."),
    "filter": later(
        "A filter goes on by itself. Switch a pump off at the plug and let air in first, so "
        "that nothing is drawn back."
    ),
    "separate_oil": later("Leave the layers standing, covered. Close the tap."),
    "acidify_and_filter": later(
        "Stop adding. Without water there is no rinsing: keep away from the acid until the tap runs."
    ),
    "basify": later(
        "Stop adding and close the ammonia. Without power the hood does not draw: leave the "
        "room if it smells."
    ),
    "partition": later(
        "Let the pressure out, set the funnel in its ring with the tap closed and the stopper off."
    ),
    "mix_to_strength": later(
        "Nothing is heated: close the spirit. A digital scale has lost its tare: weigh the vessel again."
    ),
    "mix": later(
        "Switch the stirrer off at the plug. A digital scale has lost its tare: weigh the vessel again."
    ),
    "blend": later(
        "Stirrer and warm bath off at the plug. A digital scale has lost its tare: go on "
        "from the lines that are written, and weigh the vessel again."
    ),
    "fill": later(
        "Close the bulk and every bottle that is filled. A digital scale has lost its tare; "
        "check the last bottle."
    ),
}


def when_it_stops(kind: str) -> str:
    """What a step of a kind needs when water or power goes.

    Parameters
    ----------
    kind : str
        Key of ``stream/kinds``.
    """
    return t(_SAID[WHEN_IT_STOPS.get(kind, STANDS)])


__all__ = ["WHEN_IT_STOPS", "when_it_stops"]
