"""The alcoholometer in a mixture, on paper and screen: what it should show, when to leave it alone, what puts it right.

Promises that no reading is offered where something is dissolved, and that methanol is named on every strength.
"""

from dataclasses import dataclass, replace

from stillroom.documents.blocks import Block, Heading, Numbers, Points, Prose, Shown, Table
from stillroom.documents.showing import number, show
from stillroom.evidence.answer import Answer
from stillroom.results.drops import Dropper, in_drops
from stillroom.results.spirit_diluted import Diluted
from stillroom.results.spirit_seen import Seen
from stillroom.texts.catalogue import t


@dataclass(frozen=True, slots=True)
class SaidBesides:
    """What may be said besides the entries of a dilution.

    Attributes
    ----------
    dropper : Dropper or None
    seen : Seen or None
    dissolved : bool
        Whether the spirit holds extract, sugar or glycerol.
    """

    dropper: Dropper | None = None
    seen: Seen | None = None
    dissolved: bool = False


NOTHING_BESIDES = SaidBesides()


def alcoholometer_blocks(found: Diluted, at: str, more: SaidBesides) -> tuple[Block, ...]:
    """The section that checks a mixture.

    Parameters
    ----------
    found : Diluted
    at : str
        Temperature of the mixing, in words.
    more : SaidBesides
    """
    heading = Heading(t("alcoholometer_blocks.check_alcoholometer"))
    if more.dissolved:
        return (
            heading,
            Prose(t("alcoholometer_blocks.not_dissolved_makes_read")),
            Prose(t("alcoholometer_blocks.no_methanol"), quiet=True),
        )
    looked = (
        (Heading(t("alcoholometer_blocks.what_it_shows_now"), 3), *_seen(found, more)) if more.seen else ()
    )
    return (
        heading,
        *_expected(found, at, more.dropper),
        *looked,
        Prose(t("alcoholometer_blocks.no_methanol"), quiet=True),
    )


def few_drops(found: Diluted, dropper: Dropper | None) -> tuple[Block, ...]:
    """The smaller part of a small mixture, counted in drops, where a dropper was weighed for it."""
    for of, mass in (("water", found.water), ("spirit", found.stock)):
        counted = in_drops(mass, of, dropper)
        if counted is not None and dropper is not None:
            return (
                Numbers(
                    (
                        show(counted, label=t("alcoholometer_blocks.the_in_drops", of=of), decimals=0),
                        show(dropper.drop, label=t("alcoholometer_blocks.a_drop_of", of=of)),
                    )
                ),
            )
    return ()


def something_dissolved(more: SaidBesides) -> tuple[Block, ...]:
    """What to know before spirit that holds something is mixed by volume."""
    if not more.dissolved:
        return ()
    told = t("alcoholometer_blocks.holds_something_dissolved_go")
    return (Points((told,), "missing"),)


def _expected(found: Diluted, at: str, dropper: Dropper | None) -> tuple[Block, ...]:
    shows = found.reading
    if shows is None:
        return (Prose(t("alcoholometer_blocks.scale_alcoholometer_ends_before", at=at)),)
    low, high = (shows.answer.value + sign * shows.expanded_uncertainty for sign in (-1.0, 1.0))
    blocks: list[Block] = [
        Numbers((show(shows, label=t("alcoholometer_blocks.it_should_show_at", at=at)),)),
        Prose(t("alcoholometer_blocks.between_leave_alone_alcoholometer", low=low, high=high)),
    ]
    rows = tuple(
        (
            f"{one.reads:.1f} %",
            _plain(show(one.true, decimals=1)),
            t(
                "alcoholometer_blocks.found_of_adds",
                found=_amount(found, one.adds),
                of=one.of,
                adds=_drops(one.adds, one.of, dropper),
            ),
        )
        for one in found.corrections
    )
    if rows:
        blocks.append(
            Table(
                (
                    t("alcoholometer_blocks.it_shows"),
                    t("alcoholometer_blocks.that_is"),
                    t("alcoholometer_blocks.then_add"),
                ),
                rows,
                (1,),
            )
        )
        blocks.append(
            Prose(
                t("alcoholometer_blocks.water_mixture_times_strength"),
                quiet=True,
            )
        )
    blocks.append(Prose(t("alcoholometer_blocks.extract_sugar_glycerol_deceive"), quiet=True))
    return tuple(blocks)


def _seen(found: Diluted, more: SaidBesides) -> tuple[Block, ...]:
    seen = more.seen
    if seen is None:
        return ()
    told = t("alcoholometer_blocks.it_shows_at", reads=seen.reads.value, at=seen.at.value)
    should: tuple[Block, ...] = ()
    if seen.expected is not None:
        should = (
            Numbers((show(seen.expected, label=t("alcoholometer_blocks.it_should_at", at=seen.at.value)),)),
        )
    if seen.puts_right is None:
        return (*should, Points((t("alcoholometer_blocks.within_band_leave_alone", told=told),), "done"))
    right = seen.puts_right
    adds = t(
        "alcoholometer_blocks.found_of_adds",
        found=_amount(found, right.adds),
        of=right.of,
        adds=_drops(right.adds, right.of, more.dropper),
    )
    return (
        *should,
        Numbers(
            (
                show(right.true, label=t("alcoholometer_blocks.strength_behind_the_reading"), decimals=1),
                show(
                    right.adds,
                    label=t("alcoholometer_blocks.to_add", of=right.of.capitalize()),
                    decimals=_decimals(found.product.value),
                ),
            )
        ),
        Points((t("alcoholometer_blocks.add_stir_let_rest", told=told, adds=adds),), "missing"),
    )


def _amount(found: Diluted, adds: Answer) -> str:
    return f"{number(adds.value, _decimals(found.product.value))} g"


def _drops(adds: Answer, of: str, dropper: Dropper | None) -> str:
    counted = in_drops(adds, of, dropper)
    return "" if counted is None else t("alcoholometer_blocks.drops_counted", counted=counted.value)


def _decimals(amount: float) -> int:
    return 1 if abs(amount) >= 100.0 else 2


def _plain(shown: Shown) -> Shown:
    """Without its reason, which stands once under the table."""
    return replace(shown, how="", leaves=(), more_leaves=0)
