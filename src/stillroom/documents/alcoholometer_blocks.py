"""The alcoholometer in a mixture, on paper and screen: what it should show, when to leave it alone, what puts it right.

Promises that no reading is offered where something is dissolved, and that methanol is named on every strength.
"""

from dataclasses import replace

from stillroom.answers.drops import Dropper, in_drops
from stillroom.answers.spirit_diluted import Diluted
from stillroom.answers.spirit_seen import Seen
from stillroom.documents.blocks import Block, Heading, Numbers, Points, Prose, Shown, Table
from stillroom.documents.numbers_shown import number, show
from stillroom.evidence.answer import Answer
from stillroom.texts.catalogue import t


def alcoholometer_blocks(
    found: Diluted, at: str, *, dropper: Dropper | None, seen: Seen | None, dissolved: bool
) -> tuple[Block, ...]:
    """The section that checks a mixture.

    Parameters
    ----------
    at : str
        Temperature of the mixing, in words.
    dropper : Dropper or None
        One that was weighed.
    seen : Seen or None
        What an alcoholometer shows in the mixture.
    dissolved : bool
        Whether the spirit holds extract, sugar or glycerol.
    """
    not_here = t(
        "Not this one: what is dissolved makes it read weaker than it is. Distil a sample and read that."
    )
    looked = (Heading(t("What it shows now"), 3), *_seen(found, seen, dropper)) if seen else ()
    methanol = t(
        "Neither alcoholometer nor density can tell methanol from ethanol. Buy spirit with a certificate."
    )
    return (
        Heading(t("Check it with an alcoholometer")),
        *((Prose(not_here),) if dissolved else (*_expected(found, at, dropper), *looked)),
        Prose(methanol, quiet=True),
    )


def few_drops(found: Diluted, dropper: Dropper | None) -> tuple[Block, ...]:
    """The smaller part of a small mixture, counted in drops, where a dropper was weighed for it."""
    for of, mass in (("water", found.water), ("spirit", found.stock)):
        counted = in_drops(mass, of, dropper)
        if counted is not None and dropper is not None:
            return (
                Numbers(
                    (
                        show(counted, label=t("The {of}, in drops", of=of), decimals=0),
                        show(dropper.drop, label=t("A drop of {of}", of=of)),
                    )
                ),
            )
    return ()


def something_dissolved(*, dissolved: bool) -> tuple[Block, ...]:
    """What to know before spirit that holds something is mixed by volume."""
    if not dissolved:
        return ()
    told = t(
        "It holds something dissolved: go by mass. Marks and volumes are those of ethanol "
        "and water alone, and the strength is the one it had before."
    )
    return (Points((told,), "missing"),)


def _expected(found: Diluted, at: str, dropper: Dropper | None) -> tuple[Block, ...]:
    shows = found.reading
    if shows is None:
        return (
            Prose(
                t(
                    "At {at} the scale of an alcoholometer ends before this mixture: cool it nearer to "
                    "20 °C, or weigh a bottle of it.",
                    at=at,
                )
            ),
        )
    low, high = (shows.answer.value + sign * shows.expanded_uncertainty for sign in (-1.0, 1.0))
    blocks: list[Block] = [
        Numbers((show(shows, label=t("It should show, at {at}", at=at)),)),
        Prose(
            t(
                "Between {low:.1f} and {high:.1f} % leave it alone: the alcoholometer, the "
                "thermometer and the spirit at hand cannot tell it better. The scale is marked at "
                "20 °C, its glass soda-lime (25 millionths of its volume for each degree).",
                low=low,
                high=high,
            )
        ),
    ]
    rows = tuple(
        (
            f"{one.reads:.1f} %",
            _plain(show(one.true, decimals=1)),
            t(
                "{found} of {of}{adds}",
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
                    t("It shows"),
                    t("That is"),
                    t("Then add"),
                ),
                rows,
                (1,),
            )
        )
        blocks.append(
            Prose(
                t(
                    "Water = mixture × (its strength ÷ wanted − 1). Spirit = mixture × (wanted − its "
                    "strength) ÷ (spirit − wanted). All by mass."
                ),
                quiet=True,
            )
        )
    blocks.append(
        Prose(
            t("With extract, sugar or glycerol in it, alcoholometer and density both read wrong."), quiet=True
        )
    )
    return tuple(blocks)


def _seen(found: Diluted, seen: Seen, dropper: Dropper | None) -> tuple[Block, ...]:
    told = t("It shows {reads:g} % at {at:g} °C", reads=seen.reads.value, at=seen.at.value)
    should: tuple[Block, ...] = ()
    if seen.expected is not None:
        should = (Numbers((show(seen.expected, label=t("It should, at {at:g} °C", at=seen.at.value)),)),)
    if seen.puts_right is None:
        return (*should, Points((t("{told}: within the band. Leave it alone.", told=told),), "done"))
    right = seen.puts_right
    adds = t(
        "{found} of {of}{adds}",
        found=_amount(found, right.adds),
        of=right.of,
        adds=_drops(right.adds, right.of, dropper),
    )
    return (
        *should,
        Numbers(
            (
                show(right.true, label=t("Strength behind the reading"), decimals=1),
                show(
                    right.adds,
                    label=t("{of} to add", of=right.of.capitalize()),
                    decimals=_decimals(found.product.value),
                ),
            )
        ),
        Points(
            (t("{told}: add {adds}, stir, let it rest and cool, and read again.", told=told, adds=adds),),
            "missing",
        ),
    )


def _amount(found: Diluted, adds: Answer) -> str:
    return f"{number(adds.value, _decimals(found.product.value))} g"


def _drops(adds: Answer, of: str, dropper: Dropper | None) -> str:
    counted = in_drops(adds, of, dropper)
    return "" if counted is None else t(", {counted:.0f} drops", counted=counted.value)


def _decimals(amount: float) -> int:
    return 1 if abs(amount) >= 100.0 else 2


def _plain(shown: Shown) -> Shown:
    """Without its reason, which stands once under the table."""
    return replace(shown, how="", leaves=(), more_leaves=0)
