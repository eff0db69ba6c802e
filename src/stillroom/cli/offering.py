"""The verb that answers an enquiry: with no book, or kept in one as an offer; shows, prints, takes and withdraws it."""

from pathlib import Path
from typing import Any

import click

from stillroom.cli.asked import fields_typed, options_of, tell_answer
from stillroom.cli.asking import at_option, in_option, json_option, moment, tell_done, tell_page
from stillroom.errors import BadEntry
from stillroom.questions.offer import QUESTION


@click.command("offer")
@click.argument("offer", default="")
@click.option("--keep", is_flag=True, help="Keep it in the book, worked out with what the book knows.")
@click.option("--accept", is_flag=True, help="The customer takes OFFER: it becomes an order.")
@click.option("--withdraw", "why", default="", help="Take OFFER back, and why.")
@click.option("--signed", "for_customer", is_flag=True, help="OFFER as the paper a customer signs.")
@click.option("--by", default="", help="Code of the person who keeps, takes or withdraws it.")
@in_option
@at_option
@json_option
def offer_command(
    offer: str,
    keep: bool,
    accept: bool,
    why: str,
    for_customer: bool,
    by: str,
    folder: Path,
    at_text: str,
    as_json: bool,
    paper: str = "",
    **typed: Any,
) -> None:
    """Answer an enquiry: --product, --bottles, --strength, --plant and --way; or show OFFER of the book."""
    fields = {name: text for name, text in fields_typed(QUESTION, typed).items() if text}
    said = fields.keys() - {"kind"}
    if offer and said:
        raise BadEntry("An offer in the book stands as it was told", offer, "Ask again without its number")
    if not offer and not keep:
        tell_answer(QUESTION, fields, paper, as_json=as_json)
        return
    from stillroom.actions.offers.offering import accept_offer, make_offer, withdraw_offer
    from stillroom.cli.asking import open_laboratory
    from stillroom.pages.offers import show_offer, show_offer_paper

    if (keep or accept or why) and not by:
        raise BadEntry(
            "An offer is kept, taken or withdrawn by a person", "nobody", "Give --by", where="--by"
        )
    sign: dict[str, Any] = {"by": by, "at": moment(at_text)}
    with open_laboratory(folder) as lab:
        if keep:
            tell_done(lab, make_offer(lab, fields, **sign), as_json=as_json)
        elif accept:
            tell_done(lab, accept_offer(lab, offer, **sign), as_json=as_json)
        elif why:
            tell_done(lab, withdraw_offer(lab, offer, why, **sign), as_json=as_json)
        else:
            tell_page((show_offer_paper if for_customer else show_offer)(lab, offer), as_json=as_json)


at = offer_command.params.index(next(one for one in offer_command.params if one.name == "keep"))
offer_command.params[at:at] = options_of(QUESTION, may_be_left_out=True)
