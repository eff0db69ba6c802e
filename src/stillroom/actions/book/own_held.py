"""What a book holds of its own markers, plants and ingredients, the last of each name standing."""

from stillroom.records.entries import IngredientStated, MarkerStated, PlantStated
from stillroom.store.reader import Reader
from stillroom.substances.own import (
    NOTHING,
    Own,
    OwnIngredient,
    OwnMarker,
    OwnPlant,
    Stated,
    by_names,
)


def own_of(look: Reader, before: int | None = None) -> Own:
    """Everything of one's own that stands in the book.

    Parameters
    ----------
    before : int or None
        Only what had been stated before that entry.
    """
    markers: dict[str, tuple[OwnMarker, Stated]] = {}
    plants: dict[str, tuple[OwnPlant, Stated]] = {}
    ingredients: dict[str, tuple[OwnIngredient, Stated]] = {}
    for entry in look.own_things():
        if before is not None and entry.entry_no >= before:
            continue
        match entry.body:
            case MarkerStated(marker=marker):
                markers[marker.name] = marker, Stated(entry.entry_no, marker.source)
            case PlantStated(plant=plant):
                plants[plant.name] = plant, Stated(entry.entry_no, plant.source)
            case IngredientStated(ingredient=ingredient):
                ingredients[ingredient.name] = ingredient, Stated(entry.entry_no, ingredient.source)
    if not (markers or plants or ingredients):
        return NOTHING
    return Own(by_names(markers), by_names(plants), by_names(ingredients))


def own_stated_after(look: Reader, after: int, *, before: int | None = None) -> bool:
    """Whether a marker, plant or ingredient of one's own was stated after an entry, and before another."""
    return any(
        after < one.entry_no and (before is None or one.entry_no < before) for one in look.own_things()
    )
