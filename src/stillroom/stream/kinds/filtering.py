"""Filtering: what settled stays on the filter, and a little liquor with it."""

from stillroom.stream.components import OTHERS, Grams, only, whole_mass
from stillroom.stream.kind import Settings, StepKind, StepOutput, Work
from stillroom.texts.catalogue import later


def _filtered(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    (liquor,) = inlets
    sediment = only(liquor, OTHERS) * settings["sediment_share"]
    in_filter = (liquor - sediment) * settings["liquor_in_filter_share"]
    losses = {"sediment on the filter": sediment, "liquor in the filter": in_filter}
    return StepOutput((liquor - sediment - in_filter,), losses)


def _filtering(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:  # noqa: ARG001
    return Work(watch_min=settings["filter_min_per_kg"] * whole_mass(outlets[0]) / 1000.0)


FILTER = StepKind(
    "filter",
    inlets=("liquor",),
    outlets=("clear liquor",),
    losses=("sediment on the filter", "liquor in the filter"),
    settings=("sediment_share", "liquor_in_filter_share", "filter_min_per_kg"),
    weighed=("liquor", "clear liquor"),
    says="The liquor stands until it has settled, is poured off and filtered, and the filter is rinsed once.",
    when_off=later(
        "A filter goes on by itself. Switch a pump off at the plug and let air in first, so that nothing "
        "is drawn back."
    ),
    works=_filtered,
    asks=_filtering,
    sources=("extraction-practice",),
    does="cleans",
    reckons_stays=True,
)
