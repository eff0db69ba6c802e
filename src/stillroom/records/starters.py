"""Ways of extracting as procedures to copy: a starter for each, each with the markers it holds for.

Promises a complete procedure in which every assumed figure names its range. Refuses what cannot work and says
what would; warns of what costs yield. Of a marker nobody has written about here it says just that, and copies.
A copy is a beginning: it wants the laboratory's own figures, and nobody has worked by it.
"""

from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import Literal, TypeAlias, get_args

from stillroom.errors import BadEntry, NotAllowed, Phrase, UnknownName, worded
from stillroom.records.procedure_from_yaml import procedure_from_yaml
from stillroom.records.procedures import Procedure, Setting, Step
from stillroom.records.written_values import code as code_of
from stillroom.reference.tables import row, table
from stillroom.substances.markers import MarkerNature, marker, marker_nature, nearest_markers
from stillroom.substances.own import own_marker, plant_called
from stillroom.substances.plants import refuse_prohibited
from stillroom.texts.catalogue import capital

WAYS, MARKERS = "ways", "way_markers"
Verdict: TypeAlias = Literal["holds", "warned", "refused", "unknown"]
PLANT, MARKER = "{plant}", "{marker}"
HOT_WAYS = ("soxhlet", "reflux", "infusion", "hydrodistillation")
LABILE_LOSS, LABILE_DOUBT, LABILE_C = 0.08, 0.7, 80.0
WHOLE_OIL_SHARE, WHOLE_OIL_DOUBT = 0.002, 0.001
OCTANOL_DOUBT = 0.8
OWN_PKA_DOUBT = 0.1


@dataclass(frozen=True, slots=True)
class Holding:
    """Whether a way of extracting holds for a marker."""

    verdict: Verdict
    why: str
    """One or two sentences."""
    instead: tuple[str, ...] = ()
    """What would work; empty when it holds."""


@dataclass(frozen=True, slots=True)
class Starter:
    """A way of extracting, with its blanks."""

    name: str
    title: str
    says: str
    suits_plants: str
    """Parts and cuts it suits, in words."""
    days: float
    """Working days from the first weighing to the dry extract, waiting included. [d]"""
    apparatus: str
    beware: str
    procedure: Procedure
    """With ``{plant}`` and ``{marker}`` where a copy has names."""

    @property
    def cautions(self) -> tuple[str, ...]:
        """Keys of the cautions of all its steps, each once, in the order of the work."""
        return tuple(dict.fromkeys(key for step in self.procedure.steps for key in step.cautions))

    def groups(self, verdict: Verdict) -> tuple[tuple[str, Holding], ...]:
        """Groups of markers with a verdict, and the reason."""
        rows = [one for one in table(MARKERS).rows if one.words("way") == self.name]
        found = [(one.words("marker_group"), _holding(self.name, one.words("marker_group"))) for one in rows]
        return tuple((group, holding) for group, holding in found if holding.verdict == verdict)


@cache
def starters() -> tuple[Starter, ...]:
    """All of them, in the order they are offered."""
    return tuple(
        Starter(
            name=one.key,
            title=one.words("title"),
            says=one.words("says"),
            suits_plants=one.words("suits_plants"),
            days=one.number("days"),
            apparatus=one.words("apparatus"),
            beware=one.words("beware"),
            procedure=_read(one.key),
        )
        for one in table(WAYS).rows
    )


def starter(name: str) -> Starter:
    """One starter.

    Parameters
    ----------
    name : str
        Such as "maceration". [text]

    Raises
    ------
    UnknownName
        There is none of that name; the nearest are offered.
    """
    wanted = name.strip().casefold()
    for one in starters():
        if wanted in (one.name.casefold(), one.title.casefold()):
            return one
    raise UnknownName.among(name, "a way of extracting", (one.name for one in starters()))


def holds_for(name: str, marker_name: str) -> Holding:
    """Whether a starter holds for a marker, with the reason.

    Parameters
    ----------
    name, marker_name : str
        A starter, and a marker by any name in use. [text]

    Returns
    -------
    Holding
        "unknown" when nothing is known here about the marker. [record]
    """
    way, nature = starter(name), marker_nature(marker_name)
    if nature is None:
        near = nearest_markers(marker_name)
        meant = f" Did you mean {' or '.join(near)}?" if near else ""
        return Holding(
            "unknown",
            f"Nothing is known here about {marker_name}: whether it dissolves, bears heat or goes over with "
            f"steam is for you to find out on a small trial.{meant}",
        )
    found = _holding(way.name, nature.group)
    if way.name == "infusion" and found.verdict == "holds" and nature.hardly_in_water:
        return Holding(
            "warned",
            f"{capital(nature.name)} hardly dissolves in water, hot or cold: little will come out.",
            ("maceration", "percolation"),
        )
    if found.verdict != "refused" and nature.heat_labile and way.name in HOT_WAYS:
        return Holding(
            "warned",
            f"{found.why} {capital(nature.name)} loses by heat: keep it short and cool, or take a cold way.",
            ("maceration", "percolation"),
        )
    return found


def copy_starter(name: str, plant: str, marker_name: str, code: str) -> Procedure:
    """A procedure copied from a starter, for a plant and a marker.

    Parameters
    ----------
    name : str
        A starter. [text]
    plant : str
        The plant material, by any name. [text]
    marker_name : str
        What its strength is expressed in. [text]
    code : str
        Code of the new procedure. [text]

    Returns
    -------
    Procedure
        Version 1, with every blank filled. [record]

    Raises
    ------
    UnknownName
        There is no such starter.
    BadEntry
        The plant, the marker or the code is missing or cannot be used.
    NotAllowed
        The way cannot work for this marker, or the plant is prohibited.
    """
    way = starter(name)
    plant, marker_name = (_named(text, what) for text, what in ((plant, "plant"), (marker_name, "marker")))
    refuse_prohibited(plant)
    plant = plant_called(plant)
    holding = holds_for(way.name, marker_name)
    if holding.verdict == "refused":
        raise NotAllowed(
            worded(
                "{title} cannot be copied for {marker_name}: {why}{why_two}",
                title=way.title,
                marker_name=marker_name,
                why=holding.why[:1].lower(),
                why_two=holding.why[1:],
            ),
            do=worded("Instead: {instead}", instead="; ".join(holding.instead)),
            where="marker",
        )
    nature = marker_nature(marker_name)
    key = nature.name if nature else marker_name
    blank = way.procedure
    notes = blank.notes if holding.verdict == "holds" else f"{blank.notes} {holding.why}"
    return replace(
        blank,
        code=code_of(code, "code"),
        title=capital(_filled(blank.title, plant, key)),
        makes=_filled(blank.makes, plant, key),
        markers=(key,),
        notes=notes,
        lines=tuple(replace(one, substance=_filled(one.substance, plant, key)) for one in blank.lines),
        steps=tuple(_for_marker(one, nature) for one in blank.steps),
    )


def _holding(way: str, group: str) -> Holding:
    found = row(MARKERS, f"{way}/{group}")
    word = found.words("verdict")
    verdict: Verdict = next(one for one in get_args(Verdict) if one == word)
    instead = tuple(one.strip() for one in found.words("instead").split(";") if one.strip())
    return Holding(verdict, found.words("why"), instead)


@cache
def _read(name: str) -> Procedure:
    file = f"{name}.yaml"
    text = files("stillroom.records").joinpath("starters").joinpath(file).read_text("utf-8")
    return procedure_from_yaml(text, file)


def _named(text: str, what: str) -> str:
    plain = " ".join(text.split())
    if not plain or len(plain) > 80:
        raise BadEntry(
            worded("A copy is made for a {what}", what=Phrase(what)),
            "none" if not plain else worded("{plain} letters", plain=len(plain)),
            worded("Name the {what}", what=Phrase(what)),
            where=what,
        )
    return plain


def _filled(text: str, plant: str, key: str) -> str:
    return text.replace(PLANT, plant).replace(MARKER, key)


def _for_marker(step: Step, nature: MarkerNature | None) -> Step:
    return replace(step, settings=tuple(_setting(step, one, nature) for one in step.settings))


def _setting(step: Step, setting: Setting, nature: MarkerNature | None) -> Setting:
    """A setting as this marker asks for it; the starter's own where nothing is known."""
    if step.kind == "partition" and setting.name in ("pka", "partition_ratio"):
        return _of_base(setting, nature)
    if nature is None:
        return setting
    if nature.heat_labile and setting.name == "broken_down_share":
        return replace(
            setting,
            value=LABILE_LOSS,
            standard_uncertainty=LABILE_DOUBT,
            because=f"common practice, no source; {nature.name} loses by heat, 0.02 to 0.3",
        )
    if nature.heat_labile and step.kind == "infuse" and setting.name == "temperature_c":
        return replace(setting, value=LABILE_C, because=f"{nature.name} loses by heat: not hotter than this")
    if nature.name == "volatile oil" and setting.name == "others_volatile_share":
        return replace(
            setting,
            value=WHOLE_OIL_SHARE,
            standard_uncertainty=WHOLE_OIL_DOUBT,
            because="common practice, no source; the marker is the whole oil, and hardly anything else goes over",
        )
    return setting


def _of_base(setting: Setting, nature: MarkerNature | None) -> Setting:
    compound = nature.counted_as if nature and nature.counted_as else ""
    if not compound:
        who = nature.name if nature else "this marker"
        return replace(
            setting,
            spread="normal" if setting.name == "pka" else "lognormal",
            standard_uncertainty=0.5 if setting.name == "pka" else OCTANOL_DOUBT,
            origin="assumed",
            because=f"taken as for quinine, since none is listed for {who}: measure your own",
        )
    mine = own_marker(compound)
    if mine is not None and not (setting.name == "pka" and mine[0].pka):
        return _of_base(setting, None)
    if mine is not None:
        return replace(
            setting, value=max(mine[0].pka), standard_uncertainty=OWN_PKA_DOUBT, because=mine[1].where
        )
    figures = marker(compound).row
    if setting.name == "partition_ratio":
        log_p = figures["log_p"]
        most = setting.value if not isinstance(log_p, float) else min(setting.value, 10.0**log_p)
        doubt = setting.standard_uncertainty if isinstance(log_p, float) else OCTANOL_DOUBT
        return replace(setting, value=most, standard_uncertainty=doubt)
    middle, low, high = (figures[column] for column in ("pka_1", "pka_1_low", "pka_1_high"))
    if not isinstance(low, float) or not isinstance(high, float):
        return _of_base(setting, None)
    value = middle if isinstance(middle, float) else (low + high) / 2.0
    return replace(
        setting,
        value=value,
        standard_uncertainty=max((high - low) / 2.0, 0.1),
        because=f"markers, {compound}",
    )
