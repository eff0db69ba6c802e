"""Index table of what a laboratory stated of its own: markers, plants, ingredients."""

from sqlalchemy import Table

from stillroom.store.foundation import text_column
from stillroom.store.reagent_tables import MakesTable


def own_table(made: MakesTable) -> Table:
    """The table of ``MarkerStated``, ``PlantStated`` and ``IngredientStated``: what each is and its name.

    Parameters
    ----------
    made : callable
        Makes one table of the index.
    """
    return made(
        "own_things", "MarkerStated, PlantStated, IngredientStated", text_column("what"), text_column("name")
    )
