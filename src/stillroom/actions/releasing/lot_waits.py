"""What a lot waits for, and how long it keeps, in sentences.

Promises what the page of a lot, its release and the bench say alike.
"""

from stillroom.actions.book.results_kept import DRYING
from stillroom.actions.releasing.received_lines import needs_trial, not_tried
from stillroom.actions.releasing.reviewing import standing_list
from stillroom.actions.shelf.plant_described import described
from stillroom.actions.shelf.reagent_dates import rules_of_lot
from stillroom.actions.testing.identity import identity_stands
from stillroom.records.lots import Status
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t, word

MOST_CHANGES = 3
"""So many are told of a suspended lot; its release tells them all."""


def how_long_it_keeps(look: Reader, code: str) -> tuple[str, ...]:
    """The rules of a reagent's life, the earliest first.

    Parameters
    ----------
    code : str
        Of the lot. [text]

    Returns
    -------
    tuple of str
        A sentence for each rule; none for what is no reagent. [text]
    """
    lot = look.lot(code)
    if lot.kind.traits.spoils != "by its rules":
        return ()
    rules = rules_of_lot(look, lot)
    return tuple(
        f"{one.last_day}: {one.says}{t('. This ends first') if at == 0 else ''}."
        for at, one in enumerate(rules)
    )


def waits_for(look: Reader, code: str) -> tuple[str, ...]:
    """What is still to be done before a waiting lot can be released, or why one may not leave that could before.

    Parameters
    ----------
    code : str
        Of the lot. [text]

    Returns
    -------
    tuple of str
        A sentence for each; none for a lot that waits for nothing. [text]
    """
    lot, stands = look.lot(code), look.status(code)
    rests_on = lot.kind.traits.released_on
    if stands in (Status.SUSPENDED, Status.STOPPED):
        last = look.decisions(code)[-1].body
        return tuple(
            t("It is {status}: {why}", status=word(stands.value), why=one)
            for one in last.changed[:MOST_CHANGES] or (last.meaning,)
        )
    if stands is not Status.WAITING or rests_on == "nothing":
        return ()
    if rests_on == "identity":
        waits = []
        if not identity_stands(look, code):
            waits.append(t("Identity: have a competent person compare it with a reference."))
        if described(look, code).state == "fresh":
            waits.append(t("Dry it: weigh its rack once a day until two weighings agree."))
        counting = {one.body.what for one in look.results(code) if one.body.counts}
        if DRYING not in counting:
            waits.append(t("Loss on drying: without it the plan rests on an assumption."))
        if not any(one.rpartition(", ")[2] in ("as is", "dried") for one in counting):
            waits.append(t("Assay: without it the plan rests on an assumption."))
        return (*waits, t("Release by a person who may release."))
    if rests_on == "release list":
        found = standing_list(look, code)
        return tuple(f"{one.says}: {one.close}" for one in found.missing)
    if rests_on == "trial" and lot.made_by:
        to_try = needs_trial(lot) and not_tried(look, code)
        trial = (t("Try it on a blank and a positive control."),) if to_try else ()
        return (*trial, t("Release by a person who may release."))
    return (t("Release on its papers by a person who may release."),)
