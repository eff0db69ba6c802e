"""What a plant usually holds: for a first plan, and for nothing else.

Promises a range with its source and how it was seen, or None when nothing is known here; what the laboratory stated of
a plant of its own comes before the tables. Never says what a lot holds: that is assayed. Never says that a plant may be
used: see ``plants``.
"""

from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import cache

from stillroom.reference.tables import Row, table
from stillroom.substances.markers import marker_key
from stillroom.substances.other_languages import in_english
from stillroom.substances.own import OwnPlant, Stated, each_once, own, own_plant

MATERIALS, CONTENTS = "plant_materials", "plant_contents"
STATED = "stated here"
"""How something of one's own was seen."""
SEEN = {"page-opened": "read", "second-hand": "second-hand", "from-memory": "from memory"}


@dataclass(frozen=True, slots=True)
class PlantMaterial:
    """A plant as it is bought dried.

    ``by_water_percent``, ``by_spirit_percent``: low and high of what water, or spirit of 60 to 70 % v/v,
    takes out. [% w/w of the dried plant]
    ``source``, ``seen``: key of ``sources.toml``, and how that was seen; of one's own the entry, and
    ``STATED``.
    """

    name: str
    latin_name: str
    part: str
    loss_on_drying_percent: float | None
    """Usual. [% w/w as is]"""
    by_water_percent: tuple[float, float] | None
    by_spirit_percent: tuple[float, float] | None
    label_name: str
    """For the list of ingredients; empty where it is not sure."""
    note: str
    """What to beware of; empty when nothing is said."""
    source: str
    seen: str

    @property
    def because(self) -> str:
        """Where it stands, in one line."""
        if self.seen == STATED:
            return f"{self.name}, {STATED}: {self.source}"
        return f"{MATERIALS}, {self.name} ({SEEN.get(self.seen, self.seen)})"


@dataclass(frozen=True, slots=True)
class Content:
    """What a plant usually holds of a marker.

    ``low_percent_dried``, ``high_percent_dried``: [% w/w of the dried plant]
    ``source``, ``seen``: key of ``sources.toml``, and how that was seen.
    """

    plant: PlantMaterial
    marker: str
    """Key of ``markers`` or ``marker_groups``."""
    low_percent_dried: float
    high_percent_dried: float
    where: str
    """What the source says, in words; empty when recalled."""
    source: str
    seen: str

    @property
    def because(self) -> str:
        """The reason of an assumption, in one line."""
        range_ = f"{self.low_percent_dried:g} to {self.high_percent_dried:g} % of the dried plant"
        if self.seen == STATED:
            return f"{self.plant.name}/{self.marker}, {STATED}: {range_} ({self.source})"
        middle = f"; {self.where}" if self.where else ""
        return f"{CONTENTS}, {self.plant.name}/{self.marker}: {range_} ({SEEN[self.seen]}{middle})"


def plants_known() -> tuple[str, ...]:
    """Names of the plants something is known about, of the tables and of one's own, in the order of the alphabet."""
    mine = (one.name for one, _ in each_once(own().plants))
    return tuple(sorted(dict.fromkeys((*_materials(), *mine)), key=str.casefold))


def plant_material(plant: str) -> PlantMaterial | None:
    """A plant by its name in any language, its Latin name, or without its part where only one part is listed.

    Parameters
    ----------
    plant : str
        Such as "rosemary leaf", "rosemary", "Rosmarinblätter" or "Rosmarinus officinalis leaf". [text]

    Returns
    -------
    PlantMaterial or None
        None when nothing is known here. [record]
    """
    mine = own_plant(plant)
    if mine is not None:
        return _of_own(*mine)
    return _listed(plant)


def _listed(plant: str) -> PlantMaterial | None:
    return _named(_plain(plant)) or next(filter(None, map(_named, in_english(plant))), None)


def _named(wanted: str) -> PlantMaterial | None:
    rows = _materials().values()
    exact = [one for one in rows if wanted in _names_of(one)]
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


def _names_of(plant: PlantMaterial) -> tuple[str, ...]:
    """By itself, and by its Latin name with its part or without."""
    latin = _plain(plant.latin_name)
    return _plain(plant.name), latin, f"{latin} {plant.part}"


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
    plain |= {_plain(called): one.name for called, (one, _) in own().plants.items()}
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
    if material is None or key is None:
        return None
    return next((one for one in contents_of(plant) if one.marker == key), None)


def contents_of(plant: str) -> tuple[Content, ...]:
    """Everything that is known of a plant: what was stated here, then the table in its order.

    Parameters
    ----------
    plant : str
        As ``plant_material`` takes it. [text]
    """
    mine = own_plant(plant)
    listed = _listed(plant) if mine is None else _listed_as(mine[0].name)
    stated = () if mine is None else _contents_of_own(*mine)
    told = {one.marker for one in stated}
    return stated + tuple(
        one
        for one in _contents().values()
        if listed and one.plant.name == listed.name and one.marker not in told
    )


def _listed_as(name: str) -> PlantMaterial | None:
    return next((one for one in _materials().values() if _plain(one.name) == _plain(name)), None)


def _of_own(known: OwnPlant, stated: Stated) -> PlantMaterial:
    """A plant of one's own; what was not stated of it is taken from the tables where they list it too."""
    listed = _listed_as(known.name)
    mine = PlantMaterial(
        name=known.name,
        latin_name=known.latin_name or (listed.latin_name if listed else ""),
        part=known.part or (listed.part if listed else ""),
        loss_on_drying_percent=known.loss_on_drying_percent,
        by_water_percent=known.by_water_percent,
        by_spirit_percent=known.by_spirit_percent,
        label_name=known.label_name or (listed.label_name if listed else ""),
        note=listed.note if listed else "",
        source=stated.where,
        seen=STATED,
    )
    if listed is None:
        return mine
    return replace(
        mine,
        loss_on_drying_percent=mine.loss_on_drying_percent or listed.loss_on_drying_percent,
        by_water_percent=mine.by_water_percent or listed.by_water_percent,
        by_spirit_percent=mine.by_spirit_percent or listed.by_spirit_percent,
    )


def _contents_of_own(known: OwnPlant, stated: Stated) -> tuple[Content, ...]:
    plant = _of_own(known, stated)
    return tuple(
        Content(
            plant=plant,
            marker=marker_key(one.marker) or marker_key(one.marker.partition(" as ")[0]) or one.marker,
            low_percent_dried=one.low_percent_dried,
            high_percent_dried=one.high_percent_dried,
            where="",
            source=stated.where,
            seen=STATED,
        )
        for one in known.markers
        if one.low_percent_dried is not None and one.high_percent_dried is not None
    )


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
