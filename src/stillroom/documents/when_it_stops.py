"""What a step in hand needs when water or power goes: one sentence for each kind of step.

Common practice, no source. The cautions of the step and local codes come before any sentence here, and heat off at
the plug comes before all of them.
"""

from stillroom.texts.catalogue import t

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


def when_it_stops(kind: str) -> str:
    """What a step of a kind needs when water or power goes.

    Parameters
    ----------
    kind : str
        Key of ``stream/kinds``.
    """
    return t(f"when_it_stops.{WHEN_IT_STOPS.get(kind, STANDS)}")


__all__ = ["WHEN_IT_STOPS", "when_it_stops"]
