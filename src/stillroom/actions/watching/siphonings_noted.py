"""At a running Soxhlet: heat on, one tap a siphoning, and whatever was looked at; each is a reading of the batch.

Nothing that happened is refused: a tap may come late, twice or not at all. What a tap means beside its neighbours is
found when the watch is looked at, never when it is written.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from stillroom.actions.book.acts import Act
from stillroom.actions.book.correction import enter_again
from stillroom.actions.book.laboratory import Done
from stillroom.actions.book.siphonings_tapped import FILLED, HEAT, IT_SIPHONED, TAP, taps_of, watched_step
from stillroom.asking.entries import maybe, needed, taken
from stillroom.asking.readers import Figure, OneOf, Own, Words
from stillroom.asking.said import Said
from stillroom.errors import BadEntry, NotEnough, worded
from stillroom.evidence.answer import Answer
from stillroom.quantities.numbers import CAN_BE, number_in
from stillroom.records.entries import Entry, ReadingTaken
from stillroom.store.book_writer import BookWriter
from stillroom.texts.catalogue import later, t

VIAL, RESIDUE, VOLUME = "vial it matches", "residue of a sample", "volume of that sample"
READ, BLANK, DROP, DROP_LIMIT = (
    "refractometer",
    "refractometer blank",
    "drop of reagent",
    "drop still shows at",
)
CREST, HEEL = "water at the crest", "water that stays"
PALER = 8
VIALS = {
    "0": later("as strong as the first siphoning"),
    **{str(one): f"1:{2**one}" for one in range(1, PALER)},
    str(PALER): later("paler than 1:128"),
}
SHOWED = {"yes": later("it showed something"), "no": later("nothing to see")}
HAPPENED = {
    TAP: later("it siphoned"),
    HEAT: later("heat is on"),
    FILLED: later("a fresh filling is in the thimble"),
}
RESIDUE_SD_MG = 0.5
"""Standard uncertainty that drying to constant mass adds to a weighing: common practice, no source [mg]."""
STEPS = OneOf(lambda: ("0.1", "1", "10"), "a step of a scale")
CAUTIONS = ("heat-without-cooling", "leaving-the-room", "own-numbers")


def on_its_scale(text: str, where: str) -> float:
    """A figure on the scale of a refractometer, whose % is of its own."""
    return number_in(text.replace("%", ""), can_be=CAN_BE["%"], where=where).value


def residue_sd_mg(step_mg: str | None) -> float:
    """Standard uncertainty of a dry residue, a difference of two weighings, by the smallest step of its scale [mg]."""
    return math.hypot(math.sqrt(0.5) * float(step_mg or "1"), RESIDUE_SD_MG)


@dataclass(frozen=True, slots=True, kw_only=True)
class Signals(Said):
    """What was looked at: any of these."""

    vial: str | None = maybe(
        OneOf(VIALS, "a vial of the series"), label=later("Its colour matches"), left_out=later("not looked at"),
        help="Vial of the dilution series of the first siphoning: 3 for 1:8, 8 for paler than 1:128.",
    )  # fmt: skip
    residue: Answer | None = maybe(
        Figure(of="residue", symbol="mg", unit="mg", zero=True, negative=True), label=later("Dry residue of a sample"),
        hint=later("Pipetted from the thimble just before it siphons"), help='Of a sample, dry: "34 mg".',
    )  # fmt: skip
    volume: Answer | None = maybe(
        Figure(of="volume", symbol="mL", unit="mL", zero=True), label=later("Volume of that sample"), beside=True,
        help='Pipetted: "10 mL".',
    )  # fmt: skip
    scale: str | None = maybe(
        STEPS, label=later("Its scale shows"), left_out=later("1 mg"),
        help="Smallest step of its scale in mg: 0.1, 1 or 10.",
    )  # fmt: skip
    refractometer: float | None = maybe(
        Own(on_its_scale, "figure", "%"), label=later("Refractometer"),
        help='Of the liquid in the thimble: "1.4 %".',
    )  # fmt: skip
    blank: float | None = maybe(
        Own(on_its_scale, "figure", "%"), label=later("Fresh condensate showed"), beside=True,
        hint=later("Once is enough; not the spirit you poured"), help='Of fresh condensate: "0.9 %".',
    )  # fmt: skip
    drop: str | None = maybe(
        OneOf(SHOWED, "what a drop shows"), label=later("A drop of reagent"), left_out=later("not tried"),
        help="yes or no.",
    )  # fmt: skip
    drop_limit: str | None = maybe(
        OneOf(VIALS, "a vial of the series"), label=later("The drop still shows at"), left_out=later("not tried"),
        help="Weakest vial of the series at which a drop still shows: 5 for 1:32.",
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Tapped(Signals):
    """What happened, how many siphonings, where somebody counted, and what was looked at with it."""

    what: str = taken(
        TAP, OneOf(HAPPENED, "what happens at a Soxhlet"), label=later("What happened"), chosen=TAP, usual=TAP,
        help="siphoned, heat on, or fresh filling.",
    )  # fmt: skip
    count: Answer | None = maybe(
        Figure(of="siphonings", symbol="", low=1, high=20),
        label=later("Siphonings since the last tap"), hint=later("Only where you know it was more than one"),
        help="Siphonings since the last tap, where you know.",
    )  # fmt: skip
    note: str | None = maybe(
        Words(), label=later("Note"), hint=later("Only where the step was ended before it siphoned"),
        help='Why it siphoned after its end: "heated again".',
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Back(Said):
    """Why the last tap was none."""

    why: str = taken(
        "tapped by mistake", Words(), label=later("Why"), hint=later("tapped by mistake"),
        help='How it happened: "tapped by mistake".',
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked(Signals):
    """What was looked at, at which siphoning."""

    siphoning: Answer | None = maybe(
        Figure(of="siphoning", symbol="", low=1, high=99), label=later("At siphoning"),
        hint=later("The last one where you leave it out"), help="Number of the siphoning; the last one if left out.",
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured(Said):
    """One's own extractor, measured once with water."""

    crest: Answer = needed(
        Figure(of="crest", symbol="mL", unit="mL"), label=later("Water when it siphons"),
        hint=later("Poured into the extractor, thimble and wet plant inside, until it siphons"),
        must=later("The volume at which it siphons is asked"), do=later("Measure it with water"),
        help='Water in the extractor when it siphons: "85 mL".',
    )  # fmt: skip
    heel: Answer = needed(
        Figure(of="heel", symbol="mL", unit="mL", zero=True), label=later("Water that stays"), beside=True,
        must=later("The volume that stays is asked"), do=later("Weigh the wet thimble, and what stands under it"),
        help='What of it stays behind: "25 mL".',
    )  # fmt: skip


def _tap(pen: BookWriter, batch: str, said: Tapped) -> Done:
    """Enter that it siphoned, or that the heat is on."""
    step = watched_step(pen.look, batch)
    _ask_after_its_end(pen, batch, step, said.note)
    if said.what != TAP:
        number = pen.enter(ReadingTaken(batch, said.what, 1.0, "", said.what, series=step))
        told = t("Heat on is noted.") if said.what == HEAT else t("The watch begins again with this filling.")
        return Done((number,), told)
    _refuse_half_a_sample(said)
    count = round(said.count.value) if said.count else 0
    words = t("{count} siphonings", count=count) if count else IT_SIPHONED
    body = ReadingTaken(batch, TAP, float(count or 1), "", words, series=step)
    number = pen.enter(body, why=said.note or "")
    seen = _signals(pen, batch, said, step)
    tapped = len(taps_of(pen.look, batch, step))
    told = t("Tap {tapped} of {batch} is noted.", tapped=tapped, batch=batch)
    return Done((number, *seen), told + told_of_volume(said.volume))


def _take_back(pen: BookWriter, batch: str, said: Back) -> Done:
    """Take the last tap back: it stays to be read, and counts for nothing."""
    step = watched_step(pen.look, batch)
    standing = taps_of(pen.look, batch, step)
    if not standing:
        raise NotEnough("There must be a tap to take back", "none", "Tap when it siphons")
    last = standing[-1]
    body = ReadingTaken(batch, TAP, 0.0, "", t("none"), series=step)
    number = enter_again(pen, last, body, said.why)
    return Done((number,), t("The last tap is taken back."))


def _look(pen: BookWriter, batch: str, said: Looked) -> Done:
    """Enter whatever was looked at."""
    step = watched_step(pen.look, batch)
    _refuse_half_a_sample(said)
    at = round(said.siphoning.value) if said.siphoning else 0
    numbers = _signals(pen, batch, said, f"{step} {at}" if at else step)
    if not numbers:
        raise BadEntry("Something was looked at", "nothing", "Write one of them", where="vial")
    waits = said.refractometer is not None and not pen.look.readings(batch, BLANK)
    told = t(" The refractometer waits for its blank: fresh condensate.") if waits else ""
    return Done(numbers, t("It is noted.") + told + told_of_volume(said.volume))


def _ask_after_its_end(pen: BookWriter, batch: str, step: str, note: str | None) -> None:
    """Ask once where the step, or the batch, had ended before; a tap that only arrives late is of its own time."""
    given_up = pen.look.given_up(batch)
    ends = [one.done_at for one in pen.look.steps(batch) if one.body.step == step]
    ends += [given_up.done_at] if given_up else []
    last = max(ends, key=datetime.fromisoformat, default="")
    if last and not note and datetime.fromisoformat(pen.at) > datetime.fromisoformat(last):
        raise BadEntry(
            "A Soxhlet siphons before its step is ended",
            worded("{batch}, which was ended before that", batch=batch),
            "Sign the time it siphoned; or say in the note why it went on",
            where="note",
        )


def of_some_volume(readings: Sequence[Entry[ReadingTaken]]) -> tuple[Entry[ReadingTaken], ...]:
    """Readings without the samples that had no volume: they are kept, and tell nothing."""
    empty = {_sample(one) for one in readings if one.body.what == VOLUME and one.body.value <= 0.0}
    return tuple(
        one for one in readings if one.body.what not in (RESIDUE, VOLUME) or _sample(one) not in empty
    )


def told_of_volume(volume: Answer | None) -> str:
    """A sentence where a sample had no volume; "" for any other."""
    if volume is None or volume.value > 0.0:
        return ""
    return t(" A sample of no volume tells nothing and does not count: correct it.")


def _sample(entry: Entry[ReadingTaken]) -> tuple[str, str]:
    return entry.body.series, entry.done_at


def _refuse_half_a_sample(said: Signals) -> None:
    if (said.residue is None) != (said.volume is None):
        must = "A residue stands beside the volume it was dried from"
        where = "volume" if said.volume is None else "residue"
        raise BadEntry(must, "one of them", "Write both", where=where)


def _signals(pen: BookWriter, batch: str, said: Signals, series: str) -> tuple[int, ...]:
    """Enter each thing that was looked at."""
    numbers = list[int]()

    def take(what: str, value: float, unit: str, name: str, spread: float | None = None) -> None:
        words = said.text[name]
        body = ReadingTaken(batch, what, value, unit, words, series=series, standard_uncertainty=spread)
        numbers.append(pen.enter(body))

    if said.vial is not None:
        take(VIAL, float(said.vial), "", "vial")
    if said.residue is not None and said.volume is not None:
        take(RESIDUE, said.residue.value, "mg", "residue", residue_sd_mg(said.scale))
        take(VOLUME, said.volume.value, "mL", "volume")
    if said.blank is not None:
        take(BLANK, said.blank, "%", "blank")
    if said.refractometer is not None:
        take(READ, said.refractometer, "%", "refractometer")
    if said.drop is not None:
        take(DROP, 1.0 if said.drop == "yes" else 0.0, "", "drop")
    if said.drop_limit is not None:
        take(DROP_LIMIT, float(2 ** int(said.drop_limit)), "", "drop-limit")
    return tuple(numbers)


def _measure(pen: BookWriter, batch: str, said: Measured) -> Done:
    """Enter crest and heel."""
    pen.look.batch(batch)
    numbers = tuple(
        pen.enter(ReadingTaken(batch, what, one.value, "mL", said.text[name], series="by water"))
        for what, one, name in ((CREST, said.crest, "crest"), (HEEL, said.heel, "heel"))
    )
    if not 0.0 < said.heel.value < said.crest.value:
        return Done(
            numbers,
            t(
                "It is noted and does not count: some water stays, and less than it holds. Measure both again."
            ),
        )
    fastest = said.heel.value / said.crest.value
    return Done(
        numbers,
        t("Nothing can fall faster than to {fastest:.2f} from one siphoning to the next.", fastest=fastest),
    )


tap = Act(
    name="siphoned",
    action="note a siphoning",
    said=Tapped,
    writes=_tap,
    help="A siphoning of a running Soxhlet, at the time it is signed.",
    of="BATCH",
    title=later("It siphoned"),
    lead=later("The time is what counts: give it where it was earlier than now."),
    button=later("Save"),
    address="/make/{code}/siphoned",
    then="/make/{code}/watch",
    cautions=CAUTIONS,
)
take_back = Act(
    name="not-siphoned",
    action="take a siphoning back",
    said=Back,
    writes=_take_back,
    help="Take the last tap of a running Soxhlet back.",
    of="BATCH",
    title=later("Take the last tap back"),
    button=later("Take it back"),
    address="/make/{code}/not-siphoned",
    then="/make/{code}/watch",
)
look_at = Act(
    name="watched",
    action="note what was looked at",
    said=Looked,
    writes=_look,
    help="What was looked at, at a siphoning: colour, a sample, the refractometer, a drop; any of them.",
    of="BATCH",
    title=later("Looked at"),
    lead=later(
        "Any of these, at any siphoning. Each has its own error; together they tell more than the clock."
    ),
    button=later("Save"),
    address="/make/{code}/watched",
    then="/make/{code}/watch",
)
measure_extractor = Act(
    name="crest",
    action="measure an extractor",
    said=Measured,
    writes=_measure,
    help="What your extractor holds when it siphons and what stays, measured once with water.",
    of="BATCH",
    title=later("Crest and heel, measured with water"),
    lead=later(
        "Once for an extractor. Their ratio is the fastest fall there can be from one siphoning to the next."
    ),
    button=later("Save"),
    address="/make/{code}/crest",
    then="/make/{code}/watch",
)
