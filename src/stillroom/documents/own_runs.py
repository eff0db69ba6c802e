"""What one's own runs made of a plan, beside what the starter alone would have said."""

from collections.abc import Sequence

from stillroom.documents.blocks import Block, Heading, Prose, Table
from stillroom.documents.numbers_shown import number
from stillroom.documents.plan_changes import input_called, input_shown
from stillroom.planning.outcome import PlanLine
from stillroom.planning.plan_inputs import Known
from stillroom.texts.catalogue import between, t


def own_runs_blocks(
    known: Sequence[Known], now: Sequence[PlanLine], alone: Sequence[PlanLine]
) -> tuple[Block, ...]:
    """The figures of a plan from own runs, each beside the starter's; nothing where nothing is remembered.

    Parameters
    ----------
    known : sequence of Known
        Inputs that one's own runs moved.
    now, alone : sequence of PlanLine
        The same figures with them and without.
    """
    if not known:
        return ()
    pairs = [(one, other) for one in now for other in alone if one.key == other.key]
    figures = tuple(
        (one.label, one.unit, _span(one), _span(other)) for one, other in pairs if _span(one) != _span(other)
    )
    plant = next(((one, other) for one, other in pairs if one.key == PLANT), None)
    blocks: list[Block] = []
    if plant is not None:
        blocks.append(
            Prose(
                t(
                    "This rests on runs of your own; the starter alone would have said {alone} g of plant.",
                    alone=number(plant[1].value),
                )
            )
        )
    blocks.append(Heading(t("What your own runs say"), folded=True))
    if figures:
        head = (t("Figure"), t("Unit"), t("With your own runs"), t("The starter alone"))
        blocks.append(Table(head, figures))
    rows = tuple((input_called(one.role), input_shown(one), one.because) for one in known)
    blocks += [
        Table((t("Input"), t("Now"), t("From")), rows),
        Prose(
            t(
                "The median and the range from 5 to 95 %. A run that lies far off hardly counts. What runs say "
                "may serve a plan, never a release, a certificate or a label."
            ),
            quiet=True,
        ),
    ]
    return tuple(blocks)


PLANT = "plant_g"


def _span(line: PlanLine) -> str:
    return f"{number(line.median)} ({between(number(line.low), number(line.high))})"
