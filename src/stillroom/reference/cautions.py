"""The usual cautions, as data: the hazard, the moment it matters, and the words.

They are common practice and promise nothing: local codes, licences and qualified people come first, and the
foot of every page that holds one says so, once.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from stillroom.errors import UnknownName
from stillroom.reference.cautions_of_oil import OF_OIL_AND_GLYCEROL
from stillroom.texts.catalogue import ENGLISH, language, later, speaking, t

CAUTIONS: Mapping[str, tuple[str, str, str]] = {
    **OF_OIL_AND_GLYCEROL,
    "closed-apparatus": (
        later("Closed apparatus"),
        later("before anything is heated"),
        later(
            "Never heat a closed apparatus: somewhere it stays open to the air, or it bursts. "
            "Flask at most two thirds full."
        ),
    ),
    "vacuum": (
        later("Glass under vacuum"),
        later("before the pump is on"),
        later(
            "Glass can burst inwards. Thick-walled glass without a scratch, a shield or goggles, "
            "no flat-bottomed flask. Let air in slowly before it is opened or warms without the "
            "pump."
        ),
    ),
    "harmful-vapour": (
        later("Vapour that harms breath and nerves"),
        later("before hexane, methanol or a chlorinated solvent is warmed"),
        later(
            "Hexane harms the nerves, methanol blinds, dichloromethane and chloroform stop heart "
            "and breath; the nose warns too late. Working hood, tight joints, cold condenser. "
            "Headache or dizziness: heat off, out into fresh air, a doctor."
        ),
    ),
    "strong-acid": (
        later("Concentrated acid"),
        later("running acid in beneath, throwing it away"),
        later(
            "It burns skin and eyes at once and heats what it meets. Goggles, gloves, hood; a "
            "few drops down the wall of a slanted tube in cold water, its mouth away from faces. "
            "Let it cool, then pour it slowly into much cold water."
        ),
    ),
    "tube-boils-over": (
        later("A tube that boils over"),
        later("adding metal or acid to a test tube"),
        later(
            "It foams, spits acid and gives off hydrogen, which burns. Open tube, small "
            "portions, hood and goggles, no flame."
        ),
    ),
    "heat-without-cooling": (
        later("Heat without cooling"),
        later("before a start time is accepted"),
        later("Water running and seen leaving the last condenser? Hoses clipped? Then heat."),
    ),
    "leaving-the-room": (
        later("Leaving the room"),
        later("at the start, and at any absence"),
        later("Watch a boiling flammable solvent all the time. Leaving? Heat off, cool, then go."),
    ),
    "water-or-power-off": (
        later("Power or water cut"),
        later("when it happens"),
        later(
            "Heat off at the plug first. Do not restart until the water has run five minutes and "
            "the flask is cool enough to look into."
        ),
    ),
    "bumping": (
        later("Bumping"),
        later("charging the flask; when the chips were forgotten"),
        later(
            "Fresh chips in cold liquid only. Forgotten? Cool 20 °C below boiling before adding: "
            "hot liquid can leap out. New chips after every cool-down."
        ),
    ),
    "hot-liquid": (
        later("Scalding"),
        later("pouring, straining, opening a still that was boiling"),
        later(
            "Steam and wet plant burn. Let it stop boiling, lift the lid away from you, pour "
            "slowly, keep others back."
        ),
    ),
    "hot-spirit": (
        later("Hot spirit in the open"),
        later("before a flask that boiled is opened, strained or filled again"),
        later(
            "Spirit that is still warm gives off vapour that a spark lights. Heater off and away, water "
            "running until the flask is hand-warm; then open, strain and pour."
        ),
    ),
    "peroxide": (
        later("Peroxide"),
        later("opening or distilling an ether-type solvent"),
        later(
            "Tested today? Any positive: stop and ask your waste authority. Never to dryness. "
            "Old or crusted cap: do not open."
        ),
    ),
    "flammable-vapour": (
        later("Flammable vapour"),
        later("pouring, stripping, filling tonic"),
        later(
            "No flame, no open element, no spark; hood on or air moving. Bottles that are not in "
            "use stay shut. At 40 % spirit the vapour can light on a warm day."
        ),
    ),
    "spirit-law": (
        later("Spirit law"),
        later("recovery, dilution"),
        later("Distilling or keeping strong spirit can need a licence here. Check before you plan it."),
    ),
    "acid-dilution": (
        later("Acid dilution"),
        later("making reagents"),
        later("Acid into water, slowly, cold bath, goggles. Say which per cent you mean."),
    ),
    "ammonia-and-solvent": (
        later("Ammonia or chlorinated solvent"),
        later("basify and shake"),
        later(
            "Hood. Vent often, away from faces. Chlorinated solvent: only if permitted, none "
            "into product, waste separate from acetone and strong alkali."
        ),
    ),
    "mercury-and-picric": (
        later("Mercury (Mayer), picric acid (Hager)"),
        later("choosing a test"),
        later(
            "Is there a test of lower hazard? Mercury waste is kept; picric acid is kept wet and "
            "never in a metal-capped bottle."
        ),
    ),
    "pressure-in-funnel": (
        later("Pressure in the funnel"),
        later("first shake"),
        later("One gentle turn, vent. Warm liquor and volatile solvent can blow the stopper."),
    ),
    "oven": (
        later("Muffle, oven"),
        later("ashing, drying"),
        later("Solvent-wet material never enters a hot oven."),
    ),
    "dust": (
        later("Dust"),
        later("milling"),
        later("Mask, closed mill, no spark; some plants sensitise: note who reacted."),
    ),
    "mould": (
        later("Mould"),
        later("drying and storing a plant"),
        later(
            "Mould on a plant makes poisons that no drying or boiling takes away. Musty, warm or grey inside: throw "
            "the whole layer away, with a mask."
        ),
    ),
    "wrong-plant": (
        later("Wrong plant"),
        later("acceptance"),
        later(
            "Identity is not settled. Material stays waiting until a competent person has "
            "compared it with a reference."
        ),
    ),
    "restricted-active": (
        later("Potent or restricted active"),
        later("formulation"),
        later(
            "It may harm, and a legal ceiling may hold for it in this kind of product: find out. Where one "
            "holds, the upper bound of your assay, not the middle, must stay below it; that none was found "
            "does not make it harmless."
        ),
    ),
    "allergen": (
        later("Allergen or irritant"),
        later("formula, label"),
        later("Name it. Patch testing on people needs a qualified assessor, not a friend's arm."),
    ),
    "preservation": (
        later("Preservation"),
        later("formula, pH, release"),
        later(
            "Clear does not mean safe. Hold until plates are read; a challenge test belongs to a "
            "competent laboratory."
        ),
    ),
    "claims": (
        later("Claims"),
        later("name, label and claims"),
        later(
            "Words that promise a medical effect make a medicine of a cosmetic. Change them, or "
            "follow the medicines route with advice."
        ),
    ),
    "missing-control": (
        later("Expired reagent or missing control"),
        later("test entry"),
        later("No valid control: recorded as no result."),
    ),
    "assay-aliquots": (
        later("Assay aliquots"),
        later("after the test"),
        later("What was in the test tube never returns to the jar."),
    ),
    "waste": (
        later("Waste"),
        later("end of the day"),
        later("Where does it go? Not the sink: name the container, the date, the collector."),
    ),
    "reaction-reported": (
        later("Reaction reported"),
        later("a complaint, a lot that is stopped"),
        later(
            "Stop use, advise medical help, note facts, keep the sample, look whether your "
            "authority must be told and how fast."
        ),
    ),
    "own-numbers": (
        later("The tool's own numbers"),
        later("any safety decision"),
        later(
            "An estimate from your entries. If it disagrees with your eyes, nose or thermometer, "
            "believe the danger and stop."
        ),
    ),
    "water-contamination": (
        later("Water contamination"),
        later("rinsing, hydrosol"),
        later("Washed hot, drained, dated. Germs grow in water that stands."),
    ),
    "methanol": (
        later("Methanol"),
        later("buying or recovering spirit"),
        later(
            "Neither alcoholometer nor density can tell methanol from ethanol. Buy spirit with a "
            "certificate; label what is recovered and keep it for extraction."
        ),
    ),
    "sulfuric-heat": (
        later("Sulfuric acid and water"),
        later("diluting sulfuric acid"),
        later(
            "The heat of mixing can boil the water. Acid in a thin stream into the water, "
            "stirring, in heat-proof glass in a cold bath; stop when a thermometer in it shows "
            "40 °C and wait until it is cold. Never water into acid. Face shield, gloves, apron."
        ),
    ),
    "acid-and-bleach": (
        later("Chlorine"),
        later("opening an acid near bleach, cleaning up a spill"),
        later(
            "Acid and bleach give chlorine. Keep them in different cupboards; clear the bench of "
            "bleach before the bottle is opened."
        ),
    ),
    "nitric-and-spirit": (
        later("Nitric acid and fire"),
        later("opening nitric acid, throwing it away"),
        later(
            "Never near spirit, acetone, plant or paper: it can catch fire or burst a closed "
            "waste bottle later. Its own waste bottle, vented."
        ),
    ),
    "ammonia-open": (
        later("Ammonia vapour"),
        later("opening ammonia solution"),
        later(
            "Cool the bottle, open it slowly in the hood, cap away from the face. A warm bottle "
            "spits. Goggles: it blinds."
        ),
    ),
    "alkali-dissolving": (
        later("Strong alkali"),
        later("dissolving pellets, pouring lye"),
        later(
            "Pellets into cold water, a few at a time, stirring: it can boil. Goggles first, it "
            "blinds. Not in aluminium or a thin glass bottle. Splash: water for fifteen minutes, "
            "then a doctor."
        ),
    ),
    "overload": (
        later("Overloaded circuit"),
        later("before a heater is plugged in"),
        later(
            "Count everything on the breaker, kettle and fridge too. Warm plug or cable: off. No "
            "chain of extension leads."
        ),
    ),
    "room-above-flash": (
        later("The room is warmer than the flash point"),
        later("before the bulk is opened"),
        later(
            "A spark is enough to light the vapour over an open vessel. Cool room and bulk "
            "first, keep air moving; no flame, no switch and no telephone beside it."
        ),
    ),
}
"""Hazard, the moment it matters, what to do. Common practice; no source unless the wording names one."""


@dataclass(frozen=True, slots=True)
class Caution:
    """What can hurt, when, and what to do."""

    key: str
    hazard: str
    moment: str
    wording: str


def cautions() -> Mapping[str, Caution]:
    """Every caution by its key, in the language spoken at the moment.

    Returns
    -------
    mapping of str to Caution
        In the order of the file.
    """
    return _cautions(language())


def caution(key: str) -> Caution:
    """One caution, in the language spoken at the moment.

    Parameters
    ----------
    key : str
        Its key, for example ``"flammable-vapour"``.

    Returns
    -------
    Caution
        Hazard, moment and wording.

    Raises
    ------
    UnknownName
        When the key is not listed; the nearest keys are offered.
    """
    return _listed(cautions(), key)


def caution_as_kept(key: str) -> Caution:
    """One caution in English, as a result or a claim keeps it whoever reads it.

    Parameters
    ----------
    key : str
        Its key. [text]

    Returns
    -------
    Caution
        Hazard, moment and wording.

    Raises
    ------
    UnknownName
        When the key is not listed; the nearest keys are offered.
    """
    return _listed(_cautions(ENGLISH), key)


def _listed(listed: Mapping[str, Caution], key: str) -> Caution:
    if key not in listed:
        raise UnknownName.among(key, "a caution", listed)
    return listed[key]


@cache
def _cautions(code: str) -> Mapping[str, Caution]:
    with speaking(code):
        return MappingProxyType(
            {
                key: Caution(
                    key,
                    t(hazard),
                    t(moment),
                    t(wording),
                )
                for key, (hazard, moment, wording) in CAUTIONS.items()
            }
        )
