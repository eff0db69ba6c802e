"""What a laboratory entered of its own: markers, plants and ingredients that the tables here do not hold.

Promises one lookup: whoever asks for a marker, a plant or an ingredient asks its own file (``markers``, ``plants``,
``plant_contents``, ``ingredients``), and that file asks here beside its table. What is found here is what the book that
is open holds; where none is open there is nothing. A name means the last thing stated of it.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from typing import Literal, TypeAlias, TypeVar

Charge: TypeAlias = Literal["base", "acid", "permanent charge", "none", "not known"]
CHARGES: tuple[Charge, ...] = ("base", "acid", "permanent charge", "none", "not known")


@dataclass(frozen=True, slots=True)
class OwnMarker:
    """A marker as the laboratory knows it.

    ``solubility``, ``cas``, ``source``: in words; empty where not known.
    ``volatile``, ``heat_labile``, ``hardly_in_water``: goes over with steam; loses by long boiling; hardly
    dissolves in hot water.
    """

    name: str
    also_called: tuple[str, ...] = ()
    molar_mass_g_mol: float | None = None
    charge: Charge = "not known"
    """What it is in water: decides by what it can be titrated."""
    equivalents: float = 1.0
    """Moles of titrant that one mole takes up. [mol/mol]"""
    pka: tuple[float, ...] = ()
    solubility: str = ""
    cas: str = ""
    source: str = ""
    volatile: bool = False
    heat_labile: bool = False
    hardly_in_water: bool = False


@dataclass(frozen=True, slots=True)
class OwnContent:
    """What a plant usually holds of a marker, the figures None where nobody knows. [% w/w of the dried plant]."""

    marker: str
    low_percent_dried: float | None = None
    high_percent_dried: float | None = None


@dataclass(frozen=True, slots=True)
class OwnPlant:
    """A plant as the laboratory knows it.

    ``by_water_percent``, ``by_spirit_percent``: all that is extracted, low and high. [% w/w of the dried
    plant]
    """

    name: str
    """With its part, as a lot of it is called: "nettle root"."""
    part: str = ""
    latin_name: str = ""
    also_called: tuple[str, ...] = ()
    markers: tuple[OwnContent, ...] = ()
    """The first is what its strength is usually expressed in."""
    loss_on_drying_percent: float | None = None
    """Usual. [% w/w as is]"""
    by_water_percent: tuple[float, float] | None = None
    by_spirit_percent: tuple[float, float] | None = None
    label_name: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class OwnIngredient:
    """An ingredient as the laboratory knows it; density [g/mL] None where nobody knows."""

    name: str
    label_name: str
    also_called: tuple[str, ...] = ()
    what_for: str = ""
    cas: str = ""
    density_g_ml: float | None = None
    source: str = ""


OwnThing = TypeVar("OwnThing", OwnMarker, OwnPlant, OwnIngredient)


@dataclass(frozen=True, slots=True)
class Stated:
    """Where something of one's own stands in the book: its entry and who said so."""

    entry_no: int
    source: str = ""

    @property
    def where(self) -> str:
        """The place, as a leaf of a trail says it."""
        return f"entry {self.entry_no}" + (f", {self.source}" if self.source else "")


@dataclass(frozen=True, slots=True)
class Own:
    """Everything of one's own, each with its place, by every name it goes by."""

    markers: Mapping[str, tuple[OwnMarker, Stated]] = field(default_factory=dict)
    plants: Mapping[str, tuple[OwnPlant, Stated]] = field(default_factory=dict)
    ingredients: Mapping[str, tuple[OwnIngredient, Stated]] = field(default_factory=dict)
    _hash: int = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Reckon the hash once: every calculation that is remembered asks for it."""
        held = (self.markers, self.plants, self.ingredients)
        object.__setattr__(self, "_hash", hash(tuple(tuple(one.items()) for one in held)))

    def __hash__(self) -> int:
        """The same for the same things."""
        return self._hash


NOTHING = Own()


class _Held:
    """What a book holds, read when it is first asked for."""

    def __init__(self, read: Callable[[], Own], of: object = None) -> None:
        self.of = of or self
        self._read = read
        self._own: Own | None = None

    def __call__(self) -> Own:
        if self._own is None:
            self._own = NOTHING  # what is asked while reading is answered by the tables alone
            self._own = self._read()
        return self._own

    def forget(self) -> None:
        """Read it again when it is next asked for."""
        self._own = None


_OPEN: ContextVar[_Held] = ContextVar("own", default=_Held(lambda: NOTHING))  # noqa: B039 - it holds nothing


def now_known() -> object:
    """Stands for what is known of one's own at the moment: the same thing as long as nothing else is known."""
    return _OPEN.get().of


@contextmanager
def knowing(read: Callable[[], Own], *, of: object = None) -> Iterator[None]:
    """Let a book's own markers, plants and ingredients be found for a while.

    Parameters
    ----------
    read : callable
        Gives what the book holds; asked at most once, when something is first looked up.
    of : object
        What it is read from, where two readings of that are the same.
    """
    before = _OPEN.set(_Held(read, of))
    try:
        yield
    finally:
        _OPEN.reset(before)


def forget() -> None:
    """Something was written: what the book holds is read again when it is next asked for."""
    _OPEN.get().forget()


def own() -> Own:
    """What the book that is open holds of its own."""
    return _OPEN.get()()


def own_marker(name: str) -> tuple[OwnMarker, Stated] | None:
    """A marker of one's own by any of its names, with its place; None where there is none."""
    return own().markers.get(folded(name))


def own_plant(name: str) -> tuple[OwnPlant, Stated] | None:
    """A plant of one's own by any of its names, with its place; None where there is none."""
    return own().plants.get(folded(name))


def plant_called(name: str) -> str:
    """The name a plant of one's own stands under, where another name of one alone was written; else what was written.

    Parameters
    ----------
    name : str
        "false daisy herb"; a Latin name may be of two parts of one plant, and stands as it was written. [text]
    """
    said = folded(name)
    found = {
        plant.name
        for plant, _ in own().plants.values()
        if said in map(folded, (plant.name, *plant.also_called))
    }
    return found.pop() if len(found) == 1 else name


def own_plant_of(extract: str) -> tuple[OwnPlant, Stated] | None:
    """The plant of one's own that an extract is named by, with its place; None where there is none.

    Parameters
    ----------
    extract : str
        "rock rose leaf extract, percolated", "nettle liquid extract": a name of the plant, its part or not. [text]
    """
    said = f" {folded(extract.replace(',', ' '))} "
    if " extract " not in said:
        return None
    called = {name: pair for name, pair in own().plants.items() if said.startswith(f" {name} ")}
    for name, (plant, where) in own().plants.items():
        bare = name.removesuffix(f" {folded(plant.part)}")
        if bare != name and said.startswith(f" {bare} "):
            called[bare] = plant, where
    return called[max(called, key=len)] if called else None


def own_plants_of_hydrosol(name: str) -> set[str]:
    """The plants of one's own that a hydrosol is named by, with their part or without: "hyssop hydrosol".

    Parameters
    ----------
    name : str
        As a lot or a line has it. [text]
    """
    said = folded(name)
    stem = said.removesuffix(" hydrosol")
    return {
        plant.name
        for called, (plant, _) in own().plants.items()
        if stem != said and stem in (called, called.removesuffix(f" {folded(plant.part)}"))
    }


def own_ingredient(name: str) -> tuple[OwnIngredient, Stated] | None:
    """An ingredient of one's own by any of its names, with its place; None where there is none."""
    return own().ingredients.get(folded(name))


def each_once(held: Mapping[str, tuple[OwnThing, Stated]]) -> tuple[tuple[OwnThing, Stated], ...]:
    """The things of a mapping by names, each once, in the order they were first stated."""
    return tuple({one.name: (one, where) for one, where in held.values()}.values())


def by_names(stated: Mapping[str, tuple[OwnThing, Stated]]) -> dict[str, tuple[OwnThing, Stated]]:
    """The same things under every name each goes by: its own before what it is also called.

    Parameters
    ----------
    stated : mapping of str to (thing, Stated)
        By name.
    """
    found = {folded(called): pair for pair in stated.values() for called in _also(pair[0])}
    found |= {folded(name): pair for name, pair in stated.items()}
    found.pop("", None)
    return found


def folded(name: str) -> str:
    """A name as it is compared: without capitals, hyphens and doubled spaces."""
    return " ".join(name.casefold().replace("-", " ").replace("’", "'").split())


def _also(thing: OwnMarker | OwnPlant | OwnIngredient) -> tuple[str, ...]:
    return (*thing.also_called, thing.latin_name) if isinstance(thing, OwnPlant) else thing.also_called
