"""A fresh lot on the racks: weighed until two weighings agree; then it is dry, with the moisture its masses say."""

from dataclasses import dataclass, replace
from datetime import datetime

from stillroom.actions.book.acts import Act
from stillroom.actions.book.laboratory import Done
from stillroom.actions.book.results_kept import DRYING, latest_result
from stillroom.actions.shelf.plant_described import RACK, described
from stillroom.asking.entries import maybe, needed
from stillroom.asking.readers import Figure, Words
from stillroom.asking.said import Said
from stillroom.documents.numbers_shown import number
from stillroom.documents.plant_words import card_words
from stillroom.errors import BadEntry, NotAllowed, NotEnough, worded
from stillroom.evidence.answer import Answer
from stillroom.records.entries import Moved, ReadingTaken
from stillroom.records.lots import SHELF, Lot, Movement, grams, micrograms
from stillroom.science.extraction.plant_drying import moisture_by_mass, rack_seen
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t

INTO_AIR = "loss/water into the air"
SAFE_SHARE = 0.13
"""Water below which a dried plant keeps in its bag (from memory: 8 to 13 %). [g/g]"""
SLOW_H = 72.0
SLACK, WETTEST = 0.05, 0.97
"""How far a rack may be off before it is asked about, and the most water a plant holds (chosen). [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Racked(Said):
    """What the marked rack weighs now, and all of it once it is dry."""

    mass: Answer = needed(
        Figure(of="marked rack", symbol="g", unit="g"), label=later("The marked rack weighs, net"),
        hint=later("The same rack each time; the first weighing is the fresh plant"), argument=True,
        must=later("A rack is weighed"), do=later('Write "412 g": the plant alone'),
    )  # fmt: skip
    whole: Answer | None = maybe(
        Figure(of="all of it", symbol="g", unit="g"), label=later("All of it weighs, once dry"),
        hint=later("Then the water it lost leaves the shelf"), help='All of the lot, once dry: "1.25 kg".',
    )  # fmt: skip
    note: str | None = maybe(
        Words(), label=later("Note"),
        hint=later("Needed when the rack weighs more than it did, or less than its dry plant"),
        help="What was different.",
    )  # fmt: skip


def _write(pen: BookWriter, lot: str, said: Racked) -> Done:
    """Write the weighing; where two agree, the card and what left the shelf."""
    look = pen.look
    if look.lot(lot).kind.traits.carrier != "plant":
        raise NotAllowed("Only a plant lies on a rack", lot, "Name a lot of plant material")
    mass_g = said.mass.value
    before = sorted((_moment(one.done_at), one.body.value) for one in look.readings(lot, RACK))
    weighed = sorted([*before, (_moment(pen.at), mass_g)])
    if not said.note:
        _must_be_likely(look, lot, weighed, (_moment(pen.at), mass_g))
    numbers = [pen.enter(ReadingTaken(lot, RACK, mass_g, "g", f"{mass_g:g} g"), why=said.note or "")]
    hours = [(at - weighed[0][0]) / 3600.0 for at, _ in weighed]
    try:
        seen = rack_seen(hours, [mass for _, mass in weighed])
    except NotEnough:
        seen = None
    gone = _left_the_shelf(pen, lot, said)
    if seen is None or not seen.constant:
        told = _not_yet(hours[-1], None if seen is None else seen.changed_share)
        return Done((*numbers, *gone), told)
    numbers += [*_dry(pen, lot, weighed[0][1], mass_g), *gone]
    words = card_words(described(pen.look, lot))
    told = t("{lot}: two weighings agree, it is dry ({words}).", lot=lot, words=words)
    if (percent := described(pen.look, lot).moisture_percent) is not None and percent > 100.0 * SAFE_SHARE:
        told = f"{told} {t('So much water is left that it may mould: dry a sample in the oven before it is stored.')}"
    return Done(tuple(numbers), told)


def _must_be_likely(
    look: Reader, lot: str, weighed: list[tuple[float, float]], now: tuple[float, float]
) -> None:
    """Ask once about a rack that weighs more than it did, or less than its plant without any water."""
    at = weighed.index(now)
    if at == 0:
        return
    fresh_g, before_g, mass_g = weighed[0][1], weighed[at - 1][1], now[1]
    share, doubt = _moisture_when_fresh(look, lot) or (WETTEST, 0.0)
    least_g = (1.0 - SLACK) * fresh_g * (1.0 - min(share + 2.0 * doubt, WETTEST))
    if not least_g <= mass_g <= (1.0 + SLACK) * before_g:
        raise BadEntry(
            "A rack loses water and nothing else",
            worded("{now:g} g after {before:g} g, of {fresh:g} g fresh", now=mass_g, before=before_g, fresh=fresh_g),
            "Look at the decimal point and weigh again; or say in the note what happened",
            where="mass",
        )  # fmt: skip


def _not_yet(hours: float, per_day: float | None) -> str:
    told = (
        t("Noted. Weigh the same rack again tomorrow.")
        if per_day is None
        else t("Not dry yet: {percent} % a day. Weigh it again tomorrow.", percent=number(100.0 * per_day, 1))
    )
    look = t("Look into the middle of the layer for damp heat, a musty smell, a grey down; turn it.")
    slow = t("After three days it invites mould: a thinner layer, more air, gentle warmth below 40 °C.")
    return f"{told} {look}" + (f" {slow}" if hours > SLOW_H else "")


def _dry(pen: BookWriter, lot: str, fresh_g: float, mass_g: float) -> list[int]:
    """The card of a lot that is dry now; its moisture by mass where it was known when it was fresh."""
    before = described(pen.look, lot)
    share_now = _moisture_when_fresh(pen.look, lot)
    found = replace(before, state="dry", moisture_percent=None, moisture_standard_uncertainty_percent=None)
    if share_now is not None:
        share, doubt = share_now
        left = float(moisture_by_mass(fresh_g, share, mass_g))
        if left > 0.0:
            found = replace(
                found,
                moisture_percent=100.0 * left,
                moisture_standard_uncertainty_percent=100.0 * doubt * fresh_g / mass_g,
            )
    return [pen.enter(replace(found, as_written=card_words(found)))]


def _moisture_when_fresh(look: Reader, lot: str) -> tuple[float, float] | None:
    """Water when it was spread, and its standard uncertainty: as weighed, else as described; None where unknown [1]."""
    drying, like = latest_result(look, lot, DRYING), described(look, lot)
    if drying is not None:
        return drying.body.value / 100.0, (drying.body.standard_uncertainty or 0.0) / 100.0
    if like.moisture_percent is None:
        return None
    return like.moisture_percent / 100.0, (like.moisture_standard_uncertainty_percent or 0.0) / 100.0


def _left_the_shelf(pen: BookWriter, lot: str, said: Racked) -> list[int]:
    if said.whole is None:
        return []
    shelf_ug = pen.look.balance_ug(lot)
    gone_ug = shelf_ug - micrograms(said.whole.value)
    if gone_ug < 0:
        raise BadEntry(
            "Dry it weighs no more than fresh",
            worded("{now:g} g of {lot}, which was {was:g} g", now=said.whole.value, lot=lot, was=grams(shelf_ug)),
            "Weigh all of it again, or count the shelf first",
            where="whole",
        )  # fmt: skip
    if not gone_ug:
        return []
    moved = Movement(lot, SHELF, INTO_AIR, gone_ug)
    return [pen.enter(Moved((moved,), "dried on the racks"))]


def _moment(at: str) -> float:
    return datetime.fromisoformat(at).timestamp()


def _stands(look: Reader, lot: Lot) -> str:
    fresh = lot.kind.traits.carrier == "plant" and described(look, lot.code).state == "fresh"
    return t("Weigh its rack") if fresh else ""


def _lead(look: Reader, lot: str) -> str:
    how = t("One marked rack, weighed once a day. It is dry when stalks snap and two weighings agree to 1 %.")
    so_far = ", ".join(f"{one.body.value:g} g" for one in look.readings(lot, RACK))
    return f"{how} {t('So far: {weighings}.', weighings=so_far)}" if so_far else how


weigh_rack = Act(
    name="rack",
    action="weigh rack",
    said=Racked,
    writes=_write,
    help="A rack of the fresh plant LOT as it dries: MASS of the marked rack; dry once two a day apart agree.",
    title=later("On the racks"),
    lead=_lead,
    quiet=False,
    stands=_stands,
    button=later("Save the weighing"),
    address="/stock/{code}/rack",
    cautions=("mould", "dust"),
)
