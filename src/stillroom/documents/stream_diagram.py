"""The active as a river: what a plan or a batch under way expects, made ready for the stream drawing."""

from collections.abc import Sequence
from dataclasses import replace

from stillroom.documents.blocks import Prose, River
from stillroom.documents.stream_drawing import Bend, Pool, stream_in_words, stream_svg
from stillroom.planning import outcome as planned
from stillroom.substances.remembering import remember
from stillroom.texts.catalogue import t

ROUGHLY = 0.005


def as_expected() -> Prose:
    """What the figures of a river are, beneath it."""
    return Prose(
        t(
            "The active in grams, as the compound it is counted as, where the stream expects it "
            "with everything that was weighed. It is no measurement."
        ),
        quiet=True,
    )


def river(bends: Sequence[planned.Bend], *, ends: str | None = None, opens: str | None = None) -> River:
    """The active as a river from the plant to the bottles, its width the median of the draws.

    Parameters
    ----------
    ends : str or None
        Words at the mouth; "in the bottles" where none are given.
    opens : str or None
        Heading of the page that a bend leads to, "" for none; the steps of the plan where it is not given.

    Notes
    -----
    Only steps at which some of the active leaves are bends; the others are named in the words. Medians of parts do
    not sum to the median of the whole; the pools of each bend are drawn in their proportion to what the bend loses,
    so that the drawing closes. The lines of the plan carry the figures.
    """
    return _river(tuple(bends), ends, t("Step by step") if opens is None else opens)


@remember(64)
def _river(bends: tuple[planned.Bend, ...], ends: str | None, heading: str) -> River:
    drawn: list[Bend] = []
    carried = bends[0].into_g
    for one in bends:
        if drawn and one.into_g < carried * (1 - ROUGHLY):
            drawn[-1] = _dosed(drawn[-1], Pool(t("stays in the jar"), carried - one.into_g), one)
            carried = one.into_g
        goes_on = min(one.out_g, carried)
        parts = sum(pool.median_g for pool in one.elsewhere)
        share = (carried - goes_on) / parts if parts else 0.0
        pools = tuple(
            Pool(pool.name, pool.median_g * share) for pool in one.elsewhere if pool.median_g * share > 0
        )
        goes_on = max(0.0, carried - sum(pool.grams for pool in pools))
        drawn.append(
            Bend(
                one.step,
                carried,
                goes_on,
                one.out_low_g,
                one.out_high_g,
                pools,
                f"#{slug(heading)}" if heading else "",
            )
        )
        carried = goes_on
    bending = [one for one in drawn if one.losses] or drawn[-1:]
    straight = [one.step_name for one in drawn if not one.losses]
    words = stream_in_words(bending, ends=ends)
    if straight:
        words += t(" Nothing of the active leaves at: {straight}.", straight=", ".join(straight))
    return River(stream_svg(bending, ends=ends), stream_svg(bending, layout="tall", ends=ends), words)


def _dosed(bend: Bend, stays: Pool, following: planned.Bend) -> Bend:
    """What goes on is what is dosed: its spread is that of the next step, not that of the whole extract."""
    goes_on = bend.grams_out - stays.grams
    low, high = (
        one / following.out_g if following.out_g else 1.0
        for one in (following.out_low_g, following.out_high_g)
    )
    return replace(
        bend, grams_out=goes_on, low_5=goes_on * low, high_95=goes_on * high, losses=(*bend.losses, stays)
    )


def slug(text: str) -> str:
    """Words made fit for an address within a page."""
    return "-".join("".join(sign if sign.isalnum() else " " for sign in text.lower()).split())
