"""The release list as a page, and the label: what stands in the way, what is known, and what is not known."""

from typing import Unpack

from stillroom.documents.blocks import (
    Block,
    Facts,
    Heading,
    LabelFace,
    Numbers,
    Page,
    PageFacts,
    Points,
    Prose,
    Table,
)
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.certificate import list_table, rests_on
from stillroom.documents.lot_accounts import LotAccount, amount_text
from stillroom.products.check_lines import STANDINGS, CheckLine, Standing
from stillroom.products.label import Label
from stillroom.products.release import Review
from stillroom.texts.catalogue import later, t

_CALLED: dict[Standing, str] = {
    "over": later("Over or wrong: this stops"),
    "missing": later("Not there yet: this stops"),
    "undecided": later("To be decided by name"),
    "cannot be seen here": later("Cannot be seen here"),
    "within": later("Within"),
}


def release_page(
    account: LotAccount,
    review: Review,
    *,
    by: str,
    stated: Numbers | None,
    changed: tuple[str, ...] = (),
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The release list: every line, how it stands, what it rests on, and how it is closed.

    Parameters
    ----------
    account : LotAccount
    review : Review
    by : str
        Name of who would release.
    stated : Numbers or None
        What the certificate will state.
    changed : tuple of str
        What changed after the release, where the lot is suspended.
    """
    lot = account.lot
    blocks: list[Block] = [
        Facts(
            (
                (t("Lot"), lot.code),
                (t("What"), lot.name),
                (t("On the shelf"), amount_text(account.shelf, account.counted_in)),
            )
        )
    ]
    if review.may_release:
        ready = (
            t("Released. Nothing is missing.")
            if account.status.value == "released"
            else t("Nothing is missing. {by} may release it.", by=by)
        )
        blocks.append(Points((ready,), "done"))
    if changed:
        blocks += [Heading(t("What changed after the release")), Points(changed, "missing")]
    for standing in STANDINGS:
        lines = [one for one in review.lines if one.standing == standing]
        if lines:
            called = t(_CALLED[standing])
            blocks += [Heading(called, folded=standing == "within"), _lines(lines, review)]
    blocks += [Prose(t("The certificate will say: {says}", says=says)) for says in review.certificate_says]
    if stated is not None:
        blocks += [Heading(t("What it will say")), stated]
    blocks += [caution_block("preservation"), caution_block("claims"), caution_block("own-numbers")]
    return Page(
        title=t("Release of {lot_code}, {lot_name}", lot_code=lot.code, lot_name=lot.name),
        kind="release",
        code=lot.code,
        blocks=tuple(blocks),
        **page_facts,
        status=account.status.value,
        lead=t(
            "{stops} to close, {undecided} to decide.",
            stops=len(review.stopping),
            undecided=len(review.undecided),
        )
        if review.missing
        else t("Nothing stands in the way."),
        href=f"/products/{lot.code}/release",
    )


def _lines(lines: list[CheckLine], review: Review) -> Table:
    """Lines of one standing; what is open says how it is closed, what was decided says by whom."""
    if all(one.standing in ("within", "cannot be seen here") for one in lines):
        return list_table(tuple(lines), {})
    return Table(
        (t("Line"), t("What was found"), t("Rests on"), t("To close it")),
        tuple(
            (one.about, f"{one.says}.".replace("..", "."), rests_on(one), _to_do(one, review))
            for one in lines
        ),
    )


def _to_do(line: CheckLine, review: Review) -> str:
    decided = review.decided.get(line.key)
    if decided is not None:
        return t("Decided by {name}: {reason}", name=decided.name, reason=decided.reason)
    return t("{close} (line {key})", close=line.close, key=line.key) if line.needs_a_name else line.close


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
