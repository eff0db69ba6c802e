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
from stillroom.products.check_lines import STANDINGS, CheckLine
from stillroom.products.label import Label
from stillroom.products.release import Review
from stillroom.texts.catalogue import t


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
                (t("releasing.lot"), lot.code),
                (t("releasing.what"), lot.name),
                (t("releasing.on_the_shelf"), amount_text(account.shelf, account.counted_in)),
            )
        )
    ]
    if review.may_release:
        ready = (
            t("releasing.released_nothing_is_missing")
            if account.status.value == "released"
            else t("releasing.nothing_missing_may_release", by=by)
        )
        blocks.append(Points((ready,), "done"))
    if changed:
        blocks += [Heading(t("release_list.changed")), Points(changed, "missing")]
    for standing in STANDINGS:
        lines = [one for one in review.lines if one.standing == standing]
        if lines:
            called = t(f"release_list.{standing.replace(' ', '_')}")
            blocks += [Heading(called, folded=standing == "within"), _lines(lines, review)]
    blocks += [Prose(t("releasing.the_certificate_will_say", says=says)) for says in review.certificate_says]
    if stated is not None:
        blocks += [Heading(t("releasing.what_it_will_say")), stated]
    blocks += [caution_block("preservation"), caution_block("claims"), caution_block("own-numbers")]
    return Page(
        title=t("releasing.release_of", lot_code=lot.code, lot_name=lot.name),
        kind="release",
        code=lot.code,
        blocks=tuple(blocks),
        **page_facts,
        status=account.status.value,
        lead=t("release_list.lead_open", stops=len(review.stopping), undecided=len(review.undecided))
        if review.missing
        else t("release_list.lead_ready"),
        href=f"/products/{lot.code}/release",
    )


def _lines(lines: list[CheckLine], review: Review) -> Table:
    """Lines of one standing; what is open says how it is closed, what was decided says by whom."""
    if all(one.standing in ("within", "cannot be seen here") for one in lines):
        return list_table(tuple(lines), {})
    return Table(
        (t("release_list.line"), t("release_list.says"), t("release_list.rests_on"), t("release_list.to_do")),
        tuple(
            (one.about, f"{one.says}.".replace("..", "."), rests_on(one), _to_do(one, review))
            for one in lines
        ),
    )


def _to_do(line: CheckLine, review: Review) -> str:
    decided = review.decided.get(line.key)
    if decided is not None:
        return t("release_list.decided_by", name=decided.name, reason=decided.reason)
    return t("release_list.decide", close=line.close, key=line.key) if line.needs_a_name else line.close


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
            Heading(t("label.look_again")),
            Points(
                tuple(
                    t("label.write_instead", word=one.word, claim=one.claim, wording=one.safer_wording)
                    for one in label.flags
                ),
                "missing",
            ),
        ]
    if label.to_add:
        blocks += [Heading(t("label.only_a_person")), Points(label.to_add, "missing")]
    blocks += [caution_block("allergen"), caution_block("claims")]
    return Page(
        title=t("label.title", name=name, code=code),
        kind="label",
        code=code,
        blocks=tuple(blocks),
        **page_facts,
        href=f"/products/{code}/label",
    )
