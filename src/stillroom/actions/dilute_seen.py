"""What else is said of a dilution: what the spirit holds, a dropper that was weighed, what the alcoholometer shows now.

Promises an answer for each, None where nobody said it, or one sentence at its field.
"""

from collections.abc import Mapping

from stillroom.answers.drops import Dropper, dropper
from stillroom.answers.spirit_strength import KnownBy
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, reading
from stillroom.quantities.entry import entry, step_of
from stillroom.quantities.numbers import number_in
from stillroom.quantities.strength_words import read_strength
from stillroom.substances.rules import rule
from stillroom.substances.spirits import pretended_in_spirit

ASKED = "as asked"
ONLY_SPIRIT, DISSOLVED = "ethanol and water only", "extract, sugar or glycerol too"
HOLDS = (ONLY_SPIRIT, DISSOLVED)
READ_IN_IT: tuple[KnownBy, ...] = ("density", "alcoholometer", "bottle")
"""Ways that read the strength off the liquid itself."""
TRIED_G_PER_100ML = 2.0
TRIED_PERCENT = 70.0
OF = ("water", "spirit")
ANOTHER_ALCOHOL = ("methanol", "methyl", "isopropanol", "isopropyl", "propanol", "rubbing alcohol")


def refuse_another_alcohol(fields: Mapping[str, str]) -> None:
    """Refuse a liquid that is not ethanol: the density table does not hold for it.

    Raises
    ------
    BadEntry
        An entry names methanol or another alcohol.
    """
    for name in ("have", "want", "amount"):
        words = fields.get(name, "").casefold()
        for other in ANOTHER_ALCOHOL:
            if other in words:
                raise BadEntry(
                    "Spirit is ethanol and water here, and nothing else",
                    worded(
                        "{other}; methanol blinds and kills, and neither alcoholometer nor density tells it from "
                        "ethanol",
                        other=other,
                    ),
                    "Buy ethanol with a certificate, and keep the other bottle away",
                    where=name,
                )


def refuse_dissolved(fields: Mapping[str, str], known_by: KnownBy) -> bool:
    """Whether something is dissolved in the spirit; then no density and no alcoholometer is believed.

    Parameters
    ----------
    fields : mapping of str to str
    known_by : KnownBy

    Raises
    ------
    BadEntry
        The strength was read in a liquid that holds something dissolved.
    """
    said = fields.get("holds", "")
    if said and said not in HOLDS:
        raise BadEntry(
            worded("The spirit holds {holds}, or {holds_two}", holds=HOLDS[0], holds_two=HOLDS[1]),
            repr(said[:40]),
            "Choose one",
            where="holds",
        )
    if said != DISSOLVED:
        return False
    if known_by in READ_IN_IT or fields.get("shows"):
        raise BadEntry(
            "Density and alcoholometer are believed in ethanol and water only",
            worded("something dissolved: {pretence}", pretence=_pretence()),
            "Take the strength it had before, distil a sample and read that, or go by mass",
            where="shows" if fields.get("shows") and known_by not in READ_IN_IT else "known-by",
        )
    return True


def _pretence() -> str:
    """What two grams of solids make of 70 % v/v, worked out."""
    volume = rule("dissolved-solids-volume").value
    taken_for = 100.0 * float(pretended_in_spirit(TRIED_PERCENT / 100.0, TRIED_G_PER_100ML, volume))
    return f"{TRIED_G_PER_100ML:g} g in 100 mL make {TRIED_PERCENT:g} % v/v look like {taken_for:.0f} %"


def dropper_in(fields: Mapping[str, str]) -> Dropper | None:
    """A dropper calibrated by weighing: so many drops of a liquid weigh so much.

    Raises
    ------
    BadEntry
        A figure is missing, or fewer than ten drops were counted.
    """
    counted, weighed, of = (fields.get(f"drops-{name}", "") for name in ("counted", "weigh", "of"))
    if not counted and not weighed:
        return None
    missing = next(
        (f"drops-{name}" for name, text in (("counted", counted), ("weigh", weighed)) if not text), ""
    )
    if missing:
        raise BadEntry(
            "A dropper is calibrated by a count and a weighing", "one of them", "Give both", where=missing
        )
    if of not in ("", *OF):
        raise BadEntry("Drops are of water or of the spirit", repr(of[:40]), "Choose one", where="drops-of")
    number = number_in(counted.casefold().removesuffix("drops").strip(), where="drops-counted").value
    mass = entry(weighed, "g", where="drops-weigh")
    step = step_of(mass, "g")
    weighed_g = reading(
        "drops together", mass.in_unit("g"), "g", "as asked, doubted by its last figure",
        standard_uncertainty=step / 12.0**0.5,
    )  # fmt: skip
    return dropper(of or OF[0], reading("drops counted", number, "drops", ASKED), weighed_g)


def shown_in(fields: Mapping[str, str], temperature: Answer) -> tuple[Answer, Answer] | None:
    """What the alcoholometer shows in the mixture now, and at what temperature; None where nobody looked.

    Parameters
    ----------
    fields : mapping of str to str
    temperature : Answer
        Of the mixing; the mixture has its own where it is said. [°C]
    """
    text = fields.get("shows", "")
    if not text:
        return None
    at = temperature
    said_c: float | None = None
    if fields.get("shows-at"):
        said_c = entry(fields["shows-at"], "°C", where="shows-at").in_unit("°C")
    strength = read_strength(
        text,
        known_by="alcoholometer",
        read_at_c=said_c,
        otherwise_at_c=at.value,
        bare_ratio="v/v",
        where="shows",
    )
    if strength.temperature_said and strength.temperature_c is not None:
        at = reading("temperature of the mixture", strength.temperature_c, "°C", ASKED)
    return reading("reading in the mixture", strength.value, "%", ASKED, basis="v/v, as read"), at
