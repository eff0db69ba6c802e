"""What a plant usually holds: for a first plan, and for nothing else.

Promises a range with its source and how it was seen, or None when nothing is known here. Never says what a
lot holds: that is assayed. Never says that a plant may be used: see ``plants``.
"""

from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache

from stillroom.reference.tables import Row, table
from stillroom.substances.markers import marker_key

MATERIALS, CONTENTS = "plant_materials", "plant_contents"


@dataclass(frozen=True, slots=True)
class PlantMaterial:
    """A plant as it is bought dried.

    Attributes
    ----------
    name, latin_name, part : str
    loss_on_drying_percent : float
        Usual. [% w/w as is]
    by_water_percent, by_spirit_percent : tuple of float
        Low and high of what water, or spirit of 60 to 70 % v/v, takes out. [% w/w of the dried plant]
    label_name : str
        For the list of ingredients; empty where it is not sure.
    note : str
        What to beware of; empty when nothing is said.
    source, seen : str
        Key of ``sources.toml``, and how that was seen.
    """

    name: str
    latin_name: str
    part: str
    loss_on_drying_percent: float
    by_water_percent: tuple[float, float]
    by_spirit_percent: tuple[float, float]
    label_name: str
    note: str
    source: str
    seen: str


@dataclass(frozen=True, slots=True)
class Content:
    """What a plant usually holds of a marker.

    Attributes
    ----------
    plant : PlantMaterial
    marker : str
        Key of ``markers`` or ``marker_groups``.
    low_percent_dried, high_percent_dried : float
        [% w/w of the dried plant]
    where : str
        What the source says, in words; empty when recalled.
    source, seen : str
        Key of ``sources.toml``, and how that was seen.
    """

    plant: PlantMaterial
    marker: str
    low_percent_dried: float
    high_percent_dried: float
    where: str
    source: str
    seen: str

    @property
    def because(self) -> str:
        """The reason of an assumption, in one line."""
        said = {"page-opened": "read", "second-hand": "second-hand", "from-memory": "from memory"}[self.seen]
        middle = f"; {self.where}" if self.where else ""
        return (
            f"{CONTENTS}, {self.plant.name}/{self.marker}: {self.low_percent_dried:g} to "
            f"{self.high_percent_dried:g} % of the dried plant ({said}{middle})"
        )


def plants_known() -> tuple[str, ...]:
    """Names of the plants something is known about, in the order of the alphabet."""
    return tuple(sorted(_materials(), key=str.casefold))


def plant_material(plant: str) -> PlantMaterial | None:
    """A plant by its name, its Latin name, or the plant without its part where only one part is listed.

    Parameters
    ----------
    plant : str
        Such as "rosemary leaf", "rosemary" or "Rosmarinus officinalis". [text]

    Returns
    -------
    PlantMaterial or None
        None when nothing is known here. [record]
    """
    wanted = _plain(plant)
    rows = _materials().values()
    exact = [one for one in rows if wanted in (_plain(one.name), _plain(one.latin_name))]
    begins = [one for one in rows if wanted and _plain(one.name).startswith(wanted + " ")]
    genus = [
        one
        for one in rows
        if one.latin_name.endswith(" spp.") and wanted.split()[:1] == [_plain(one.latin_name.split()[0])]
    ]
    for found in (exact, begins, genus):
        if len(found) == 1:
            return found[0]
    return None


def nearest_plants(plant: str) -> tuple[str, ...]:
    """Names near to one that is not known; empty when none is near.

    Parameters
    ----------
    plant : str
        As it was written. [text]
    """
    plain = {_plain(name): name for name in _materials()}
    plain |= {_plain(one.latin_name): one.name for one in _materials().values()}
    plain |= {_plain(name).rsplit(" ", 1)[0]: name for name in _materials()}
    near = get_close_matches(_plain(plant), plain, n=3, cutoff=0.8)
    return tuple(dict.fromkeys(plain[one] for one in near))


def typical_content(plant: str, marker: str) -> Content | None:
    """What a plant usually holds of a marker.

    Parameters
    ----------
    plant : str
        As ``plant_material`` takes it. [text]
    marker : str
        Such as "rosmarinic acid" or "total phenols". [text]

    Returns
    -------
    Content or None
        None when nothing is known here. [record]
    """
    material, key = plant_material(plant), marker_key(marker)
    return _contents().get((material.name, key)) if material and key else None


def contents_of(plant: str) -> tuple[Content, ...]:
    """Everything that is known of a plant, in the order of the table.

    Parameters
    ----------
    plant : str
        As ``plant_material`` takes it. [text]
    """
    material = plant_material(plant)
    return tuple(one for one in _contents().values() if material and one.plant.name == material.name)


def _plain(text: str) -> str:
    return " ".join(text.casefold().replace("’", "'").split())


@cache
def _materials() -> dict[str, PlantMaterial]:
    return {one.key: _material(one) for one in table(MATERIALS).rows}


def _material(row: Row) -> PlantMaterial:
    return PlantMaterial(
        name=row.key,
        latin_name=row.words("latin_name"),
        part=row.words("part"),
        loss_on_drying_percent=row.number("loss_on_drying_percent"),
        by_water_percent=(row.number("by_water_low_percent"), row.number("by_water_high_percent")),
        by_spirit_percent=(row.number("by_spirit_low_percent"), row.number("by_spirit_high_percent")),
        label_name=row.words("label_name"),
        note=row.words("note"),
        source=row.words("source"),
        seen=row.words("seen"),
    )


@cache
def _contents() -> dict[tuple[str, str], Content]:
    found = {}
    for one in table(CONTENTS).rows:
        plant, marker = one.words("plant"), one.words("marker")
        found[(plant, marker)] = Content(
            plant=_materials()[plant],
            marker=marker,
            low_percent_dried=one.number("low_percent_dried"),
            high_percent_dried=one.number("high_percent_dried"),
            where=one.words("where"),
            source=one.words("source"),
            seen=one.words("seen"),
        )
    return found
