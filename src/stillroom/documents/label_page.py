"""The label of a product as a page, as it is kept with the release and printed."""

from typing import Unpack

from stillroom.documents.blocks import (
    Block,
    Heading,
    LabelFace,
    Page,
    PageFacts,
    Points,
)
from stillroom.documents.caution_blocks import caution_block
from stillroom.products.label import Label
from stillroom.texts.catalogue import t


def label_page(
    label: Label,
    *,
    code: str,
    name: str,
    copy_by_pen: tuple[str, ...],
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The label at its true size, with three lines to copy by pen and a code a phone reads."""
    face = LabelFace(
        width_mm=90.0,
        height_mm=50.0,
        title=name,
        lines=label.lines[1:4],
        small=label.lines[4:],
        code=code,
        copy_by_pen=copy_by_pen,
    )
    blocks: list[Block] = [face]
    if label.flags:
        blocks += [
            Heading(t("Words to look at again")),
            Points(
                tuple(
                    t(
                        "{word}: {claim}. Write instead: {wording}",
                        word=one.word,
                        claim=one.claim,
                        wording=one.safer_wording,
                    )
                    for one in label.flags
                ),
                "missing",
            ),
        ]
    if label.to_add:
        blocks += [Heading(t("Only a person can add")), Points(label.to_add, "missing")]
    blocks += [caution_block("allergen"), caution_block("claims")]
    return Page(
        title=t("Label of {name}, {code}", name=name, code=code),
        kind="label",
        code=code,
        blocks=tuple(blocks),
        **page_facts,
        href=f"/products/{code}/label",
    )
