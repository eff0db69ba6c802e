"""At a maceration or a percolator: when the liquid went on, when it drips, and whatever was looked at, each a reading.

Nothing that happened is refused. What a look means beside the others is found when the watch is looked at.
"""

from dataclasses import dataclass

from stillroom.actions.book.acts import Act
from stillroom.actions.book.laboratory import Done
from stillroom.actions.watching.siphonings_noted import (
    BLANK,
    DROP,
    DROP_LIMIT,
    READ,
    RESIDUE,
    SHOWED,
    STEPS,
    VOLUME,
    on_its_scale,
    residue_sd_mg,
    told_of_volume,
)
from stillroom.asking.entries import maybe, taken
from stillroom.asking.readers import Figure, OneOf, Own
from stillroom.asking.said import Said
from stillroom.errors import BadEntry, NotEnough, worded
from stillroom.evidence.answer import Answer
from stillroom.records.entries import ReadingTaken
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.stream.kinds import bed_of
from stillroom.texts.catalogue import later, t

POURED, DRIPS, STANDS, LOOKED = "liquid poured on", "it drips", "it stands", "looked at"
DENSITY, CLEAN, COLOUR = "density", "density of the clean liquid", "colour over the first"
DROPS, DROPS_ML, COLLECTED = "drops in a minute", "drops in a millilitre", "dripped so far"
HAPPENED = {
    LOOKED: later("looked at"),
    POURED: later("the liquid is on the plant"),
    DRIPS: later("the tap is open, it drips"),
    STANDS: later("the tap is closed, it stands"),
}
OF_A_TAP = ("drops-counted", "drops-of-five", "collected")
"""Entries that a bed without a tap is not asked for at the bench."""
CAUTIONS = ("flammable-vapour", "own-numbers")


@dataclass(frozen=True, slots=True, kw_only=True)
class LookedIn(Said):
    """What was looked at in a bed that stands or drips: any of these."""

    what: str = taken(
        LOOKED, OneOf(HAPPENED, "what happens at a bed"), label=later("What happened"), chosen=LOOKED, usual=LOOKED,
        help="looked at, liquid poured on, it drips, or it stands.",
    )  # fmt: skip
    drops_counted: Answer | None = maybe(
        Figure(of="drops", symbol="", low=1, high=600), label=later("Drops in a minute"),
        hint=later("Counted over a whole minute"), help="Drops counted in a minute.",
    )  # fmt: skip
    drops_of_five: Answer | None = maybe(
        Figure(of="drops", symbol="", low=20, high=1000), label=later("Drops that fill 5 mL"), beside=True,
        hint=later("Once for this tap and this spirit"), help="Drops that fill 5 mL, counted once.",
    )  # fmt: skip
    collected: Answer | None = maybe(
        Figure(of="volume", symbol="mL", unit="mL", zero=True), label=later("Dripped so far"),
        help='All so far: "850 mL".',
    )  # fmt: skip
    residue: Answer | None = maybe(
        Figure(of="residue", symbol="mg", unit="mg", zero=True, negative=True), label=later("Dry residue of a sample"),
        hint=later("Of the liquid, well shaken; where it drips, of the last drops"), help='Of a sample, dry: "34 mg".',
    )  # fmt: skip
    volume: Answer | None = maybe(
        Figure(of="volume", symbol="mL", unit="mL", zero=True), label=later("Volume of that sample"), beside=True,
        help='Pipetted: "10 mL".',
    )  # fmt: skip
    scale: str | None = maybe(
        STEPS, label=later("Its scale shows"), left_out=later("1 mg"),
        help="Smallest step of its scale in mg: 0.1, 1 or 10.",
    )  # fmt: skip
    density: Answer | None = maybe(
        Figure(of="density", symbol="g/mL", unit="g/mL", low=0.6, high=1.4), label=later("Density, g/mL"),
        hint=later("By a bottle or a hydrometer, as warm as the clean liquid was"), help="Density in g/mL: 0.9214.",
    )  # fmt: skip
    clean: Answer | None = maybe(
        Figure(of="density", symbol="g/mL", unit="g/mL", low=0.6, high=1.4), beside=True,
        label=later("Of the clean liquid"), hint=later("Once, of the spirit as it was poured"),
        help="Of the clean liquid, once: 0.9091.",
    )  # fmt: skip
    refractometer: float | None = maybe(
        Own(on_its_scale, "figure", "%"), label=later("Refractometer"), help='Of the liquid: "21.4 %".',
    )  # fmt: skip
    blank: float | None = maybe(
        Own(on_its_scale, "figure", "%"), label=later("Of the clean liquid"), beside=True,
        hint=later("Once, of the spirit as it was poured"), help='Of the clean liquid, once: "19.8 %".',
    )  # fmt: skip
    colour: Answer | None = maybe(
        Figure(of="colour", symbol="", low=0.001, high=100), label=later("Colour over the first sample's"),
        hint=later("1.4 where 10 mL match the first when filled up to 14; 0.5 where the first must be halved"),
        help="Strength of colour over that of the first sample, by diluting the stronger: 1.4.",
    )  # fmt: skip
    drop: str | None = maybe(
        OneOf(SHOWED, "what a drop shows"), label=later("A drop of reagent"), left_out=later("not tried"),
        help="yes or no.",
    )  # fmt: skip
    limit: Answer | None = maybe(
        Figure(of="dilution", symbol="", low=1, high=10000), label=later("It still shows at one in"), beside=True,
        hint=later("Weakest dilution of the first percolate that shows"), help="Dilution that still shows: 64.",
    )  # fmt: skip


def bed_step(look: Reader, batch: str) -> str:
    """Name of the step of a batch that stands or drips: the one that is not done, else the last one; "" for none."""
    steps = [one.name for one in look.procedure_of(batch).steps if bed_of(one.kind)]
    done = {entry.body.step for entry in look.steps(batch)}
    return next((one for one in steps if one not in done), steps[-1] if steps else "")


def drips(look: Reader, batch: str) -> bool:
    """Whether the step of a batch that is watched has a tap to drip from."""
    return bed_of(look.procedure_of(batch).step(bed_step(look, batch)).kind) == "drips"


def _look_in(pen: BookWriter, batch: str, said: LookedIn) -> Done:
    """Enter what happened and whatever was looked at."""
    step = bed_step(pen.look, batch)
    if not step:
        raise NotEnough(
            "Looks are noted of a maceration or a percolation", worded("none in {code}", code=batch),
            "Watch another batch",
        )  # fmt: skip
    if (said.residue is None) != (said.volume is None):
        must = "A residue stands beside the volume it was dried from"
        raise BadEntry(
            must, "one of them", "Write both", where="volume" if said.volume is None else "residue"
        )
    numbers = list[int]()

    def take(what: str, value: float, unit: str, name: str, spread: float | None = None) -> None:
        words = said.text.get(name) or f"{value:g}"
        body = ReadingTaken(batch, what, value, unit, words, series=step, standard_uncertainty=spread)
        numbers.append(pen.enter(body))

    if said.what != LOOKED:
        take(said.what, 1.0, "", "what")
    for one, what, unit, name, times in (
        (said.drops_counted, DROPS, "", "drops-counted", 1.0),
        (said.drops_of_five, DROPS_ML, "", "drops-of-five", 0.2),
        (said.collected, COLLECTED, "mL", "collected", 1.0),
        (said.density, DENSITY, "g/mL", "density", 1.0),
        (said.clean, CLEAN, "g/mL", "clean", 1.0),
        (said.colour, COLOUR, "", "colour", 1.0),
        (said.limit, DROP_LIMIT, "", "limit", 1.0),
    ):
        if one is not None:
            take(what, times * one.value, unit, name)
    if said.residue is not None and said.volume is not None:
        take(RESIDUE, said.residue.value, "mg", "residue", residue_sd_mg(said.scale))
        take(VOLUME, said.volume.value, "mL", "volume")
    for read, what, name in ((said.blank, BLANK, "blank"), (said.refractometer, READ, "refractometer")):
        if read is not None:
            take(what, read, "%", name)
    if said.drop is not None:
        take(DROP, 1.0 if said.drop == "yes" else 0.0, "", "drop")
    if not numbers:
        raise BadEntry("Something was looked at, or happened", "nothing", "Write one of them", where="what")
    return Done(tuple(numbers), t("It is noted.") + told_of_volume(said.volume))


look_in = Act(
    name="looked",
    action="note a look at a maceration or percolation",
    said=LookedIn,
    writes=_look_in,
    help="A look at a maceration or a percolation: drops, a sample, density, colour; any of them.",
    of="BATCH",
    title=later("Looked at what stands or drips"),
    lead=later(
        "Any of these, at any time. Each has its own error; together they tell whether another day brings anything."
    ),
    button=later("Save"),
    address="/make/{code}/looked",
    then="/make/{code}/watch",
    cautions=CAUTIONS,
)
