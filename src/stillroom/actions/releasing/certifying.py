"""What the certificate and the label of a lot are made from."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from stillroom.actions.book.product_made import content_needed, product_in
from stillroom.actions.book.results_kept import (
    AS_IS,
    AS_IS_MEAN,
    DRIED,
    DRIED_MEAN,
    RESIDUE,
    assays,
    latest_result,
)
from stillroom.actions.lots.ethanol_known import EthanolKnown
from stillroom.actions.lots.spirit_lots import plant_of_batch
from stillroom.actions.products.batch_content import (
    content_declared,
    content_made,
    content_unknown,
    contents_beside,
)
from stillroom.actions.products.formula_made import formula_of_batch, label_as_written
from stillroom.actions.releasing.release_facts import lots_in, residue_of
from stillroom.actions.releasing.tracing import account_of
from stillroom.actions.testing.kinds import kinds_of_test
from stillroom.actions.testing.outside import said_outside
from stillroom.answers.solvent_residue import Residue
from stillroom.documents.blocks import Numbers, Reasons, Shown
from stillroom.documents.certificate import CertificateFacts
from stillroom.documents.numbers_shown import reasons, show
from stillroom.errors import NotAllowed
from stillroom.evidence.answer import FOR_A_PLAN_ONLY, Answer, leaves, walk
from stillroom.evidence.trails import from_trail
from stillroom.products.flammable import flash_point
from stillroom.products.formula import ingredient_of
from stillroom.products.formula_check import label_words
from stillroom.products.formula_lines import names_for_label
from stillroom.products.label import LabelFacts, strength_words
from stillroom.products.release import Review
from stillroom.records.entries import Entry, StatusDecided
from stillroom.records.lots import OURS, Lot, Status
from stillroom.records.procedures import Line
from stillroom.store.reader import Reader
from stillroom.substances.ingredients import ingredient
from stillroom.substances.own import own_plant
from stillroom.substances.spirits import spirit_volume_fraction_20c
from stillroom.texts.catalogue import capital, figure, later, t

ETHANOL, WATER = "ethanol", "water"


def stated_numbers(look: Reader, lot: str) -> Numbers | None:
    """The figures a certificate states; None when there are none yet."""
    found = _answers(look, lot)
    return Numbers(tuple(show(one, label=label, k=k) for label, one, k in found)) if found else None


def certificate_facts(
    look: Reader,
    lot: str,
    found: Review,
    *,
    revision: int = 1,
    changed: tuple[str, ...] = (),
    suspended: str = "",
) -> CertificateFacts:
    """What the certificate of a lot is made from.

    Parameters
    ----------
    found : Review
        The release list as it stands.
    changed : tuple of str
        Since the revision before.
    suspended : str
        Why the lot may not be used; "" while it is released.
    """
    known, batch = look.lot(lot), look.lot(lot).made_by or lot
    account = account_of(look, lot)
    answers = _answers(look, lot)
    made = content_made(look, batch) if known.kind.traits.made_as == "formula" else None
    released = _released(look, lot) if account.status is Status.RELEASED or suspended else None
    extracts = [one.code for one in lots_in(look, batch) if _made_as(look, one.code) == "extraction"]
    bought = _bought_and_dosed(look, batch)
    chain = [one for one in look.made_from(lot).lots if one != lot and _made_as(look, one) != "waste"]
    return CertificateFacts(
        account=account,
        stated=Numbers(tuple(show(one, label=label, k=k) for label, one, k in answers)),
        meets=made.meets if made else (),
        tests=tuple(
            entry for code in (lot, *extracts) for entry in look.tests(code) if entry.body.test != RESIDUE
        ),
        identities=tuple(
            (code, decided[-1].body.accepted, decided[-1].body.evidence)
            for code in chain
            if (decided := look.identities(code))
        ),
        outside=tuple(said for code in (lot, *extracts, *bought) for said in said_outside(look, code)),
        residue=_residue_said(look, known, extracts, bought),
        made_from=tuple((code, _what(look, code)) for code in chain),
        released=released,
        released_by=look.person(released.by).name if released else "",
        made_on=look.received_at(lot)[:10],
        use_by=known.use_by or "",
        sources=tuple(dict.fromkeys(_sources(answers, made.judged.ceiling.source if made else ""))),
        reasons=reasons(answers[0][1]) if answers else Reasons(()),
        order=made.order.code if made else "",
        assumed=tuple(dict.fromkeys(_assumed(answers))),
        measured=measured(look, lot),
        lines=found.lines,
        decided=tuple((one, found.decided[one.key]) for one in found.lines if one.key in found.decided),
        house=look.house(),
        content_of_bottle=_content_of_bottle(look, known),
        revision=revision,
        changed=changed,
        suspended=suspended,
    )


def _made_as(look: Reader, lot: str) -> str:
    return look.lot(lot).kind.traits.made_as


def _released(look: Reader, lot: str) -> Entry[StatusDecided] | None:
    """The last decision that released a lot."""
    decided = [one for one in look.decisions(lot) if one.body.to is Status.RELEASED]
    return decided[-1] if decided else None


def _residue_said(look: Reader, known: Lot, extracts: Sequence[str], bought: Sequence[str]) -> str:
    if extracts or known.kind.traits.made_as == "extraction":
        return _residue_words(residue_of(look, known.code), extracts)
    if bought:
        return t(
            "The extract {extracts} was bought; what is left in it of the solvent it was made "
            "with was not tested here: its supplier tells.",
            extracts=", ".join(bought),
        )
    return t("None: no extract went in.")


def _sources(answers: Sequence[tuple[str, Answer, float]], ceiling: str) -> Iterator[str]:
    for _, answer, _ in answers:
        for below in walk(answer):
            yield from below.sources
    if ceiling:
        yield ceiling


def _assumed(answers: Sequence[tuple[str, Answer, float]]) -> Iterator[str]:
    for _, answer, _ in answers:
        for one in leaves(answer):
            if one.leaf and one.leaf.kind in FOR_A_PLAN_ONLY:
                yield one.name


def _bought_and_dosed(look: Reader, batch: str) -> tuple[str, ...]:
    """Lots that were bought and weighed into the dosed line of a batch."""
    dosed = {one.name for one in look.procedure_of(batch).lines if one.role == "dosed"}
    used = dict.fromkeys(
        one.lot for step in look.steps(batch) for one in step.body.weighings
        if one.direction == "in" and one.lot and one.line in dosed
    )  # fmt: skip
    return tuple(code for code in used if look.lot(code).made_by is None)


def measured(look: Reader, lot: str) -> tuple[Shown, ...]:
    """What a certificate prints of the tests of a lot, each as it was read last, with how surely it was read."""
    found = []
    for what in (what for one in kinds_of_test() for what in one.certified):
        read = look.results(lot, what) or look.results(look.lot(lot).made_by or lot, what)
        found += [show(from_trail(one.body.trail), label=what, decimals=None) for one in read[-1:]]
    return tuple(found)


def _content_of_bottle(look: Reader, known: Lot) -> str:
    if known.kind.traits.made_as != "formula":
        return ""
    each = product_in(look, known.code).each
    return figure(each.words) if each else ""


def label_facts(look: Reader, lot: str) -> tuple[LabelFacts, tuple[str, ...]]:
    """What the label of a product lot is made from, and the three lines to copy by pen."""
    known = look.lot(lot)
    batch = known.made_by or lot
    product = product_in(look, lot)
    made = content_made(look, batch)
    if made is None and content_declared(look, batch) is not None:
        raise NotAllowed(
            "The declared strength of a label must rest on what was weighed in",
            content_unknown(look, batch) or "nothing weighed in as the extract",
            "Correct the weighing of the extract; the label follows it",
        )
    parts = _ingredients(look, batch)
    made_on = look.received_at(lot)[:10]
    ethanol = parts.pop(ETHANOL, 0.0)
    water = parts.pop(WATER, 0.0)
    if ethanol:
        parts[ingredient("spirit").label_name] = ethanol
    if water:
        parts[ingredient("water").label_name] = parts.get(ingredient("water").label_name, 0.0) + water
    facts = LabelFacts(
        product=known.name,
        each=content_needed(product, batch),
        ingredients=parts,
        batch=lot,
        made_on=made_on,
        best_before=known.use_by,
        declared=replace(made.declared, basis=made.declared.basis.partition(", of product")[0])
        if made
        else None,
        content=made.content.answer if made else None,
        flammable=_burns(ethanol, water),
        function=use_of(product.product_type),
        text="\n".join(label_words(label_as_written(look, batch)).values()),
        responsible_person=_responsible(look),
        allergens=names_for_label(formula_of_batch(look, batch)),
    )
    pen = [
        figure(f"{known.name}  {product.each.words}"),
        t("Batch {code}  best before {day}", code=lot, day=known.use_by or t("see jar")),
    ]
    if product.order is not None and product.is_dosed:
        pen.append(t("At least {strength}", strength=strength_words(product.order.at_least.printed)))
    return facts, tuple(pen)


def _responsible(look: Reader) -> str:
    """Who answers for what is sold, and where, as a label prints it; "" where nobody said."""
    house = look.house()
    where = house.responsible_address or house.address
    return f"{house.responsible_person}, {where}" if house.responsible_person and where else ""


_USES = {
    "hair leave-on": later("For the hair and scalp, to be left on"),
    "hair rinse-off": later("For the hair and scalp, to be rinsed off"),
    "skin leave-on": later("For the skin, to be left on"),
    "skin rinse-off": later("For the skin, to be rinsed off"),
    "face cream leave-on": later("For the face, to be left on"),
    "body lotion leave-on": later("For the body, to be left on"),
}


def use_of(product_type: str) -> str:
    """What a label says a kind of product is for; the kind itself where the catalogue has no words."""
    said = _USES.get(product_type)
    return t(said) if said else product_type.capitalize()


def _residue_words(residue: Residue | None, extracts: Sequence[str]) -> str:
    """What a certificate says of the clean-up solvent; a product says in which extract it was measured."""
    if residue is None:
        return t("Residue of a clean-up solvent: none was used.")
    where = f" in the extract {', '.join(extracts)}" if extracts else ""
    if residue.found is None:
        return f"{residue.certificate_says}."
    return f"Residue of {residue.solvent}{where}: {residue.because}"


def _answers(look: Reader, lot: str) -> list[tuple[str, Answer, float]]:
    known = look.lot(lot)
    if known.kind.traits.made_as == "formula":
        batch = known.made_by or lot
        made, dosed = content_made(look, batch), []
        if made is not None:
            dosed = [
                (f"{capital(made.order.aim.counted)}, in the product", made.content.answer, made.content.k),
                (t("Bound held against the ceiling"), made.judged.upper, 2.0),
            ]
        beside = contents_beside(look, batch)
        return [*dosed, *((f"{capital(of)}, in the product", one.answer, one.k) for of, one in beside)]
    found = []
    others = [entry.body.what for entry in assays(look, lot)]
    for what in dict.fromkeys((AS_IS, DRIED, AS_IS_MEAN, DRIED_MEAN, *others)):
        entry = latest_result(look, lot, what)
        if entry is not None:
            found.append((capital(what), from_trail(entry.body.trail), entry.body.coverage_factor or 2.0))
    return found


def _ingredients(look: Reader, batch: str) -> dict[str, float]:
    """Label names and shares [% w/w] at the time of adding, raw materials of several parts split and summed."""
    procedure = look.procedure_of(batch)
    lines = {line.name: line for line in procedure.lines}
    weighed = [
        (one.line, one.lot, one.actual_g)
        for entry in look.steps(batch)
        for one in entry.body.weighings
        if one.direction == "in" and one.line in lines and one.actual_g > 0.0
    ]
    total = sum(mass_g for _, _, mass_g in weighed)
    known = EthanolKnown(look)
    parts: dict[str, float] = {}
    for line, lot, mass_g in weighed:
        share = 100 * mass_g / total
        ethanol = known.share(lot).by_mass if lines[line].is_spirit else None
        if ethanol is not None:
            parts[ETHANOL] = parts.get(ETHANOL, 0.0) + share * ethanol
            parts[WATER] = parts.get(WATER, 0.0) + share * (1 - ethanol)
        else:
            name = _name_for_label(look, lines[line], lot)
            parts[name] = parts.get(name, 0.0) + share
    aqua = parts.pop(ingredient("water").label_name, 0.0)
    if aqua:
        parts[WATER] = parts.get(WATER, 0.0) + aqua
    return parts


def _name_for_label(look: Reader, line: Line, lot: str) -> str:
    if line.label_name:
        return line.label_name
    known = look.lot(lot)
    plant = own_plant(plant_of_batch(look, known.made_by)) if known.made_by else None
    return ingredient_of(line).label_name or (plant[0].label_name if plant else "") or known.name


def names_on_label(look: Reader, batch: str) -> tuple[str, ...]:
    """Every name that the list of ingredients of a batch holds, allergens too."""
    formula = formula_of_batch(look, batch)
    parts = _ingredients(look, batch)
    spirit = (ingredient("spirit").label_name,) if parts.pop(ETHANOL, 0.0) else ()
    water = (ingredient("water").label_name,) if parts.pop(WATER, 0.0) else ()
    return (*parts, *spirit, *water, *names_for_label(formula))


def ethanol_in(look: Reader, batch: str) -> float | None:
    """Ethanol in what was weighed into a batch, everything else taken as water [% v/v]; None without spirit."""
    parts = _ingredients(look, batch)
    if not parts.get(ETHANOL):
        return None
    return 100 * float(spirit_volume_fraction_20c(parts[ETHANOL] / sum(parts.values())))


def _burns(ethanol_percent: float, water_percent: float) -> bool:
    flash = _flash(ethanol_percent, water_percent)
    return flash is not None and flash.value < 60


def flash_of_batch(look: Reader, batch: str) -> Answer | None:
    """Flash point of what was weighed into a batch, None where too little spirit is known for a figure. [°C]."""
    parts = _ingredients(look, batch)
    return _flash(parts.get(ETHANOL, 0.0), parts.get(WATER, 0.0))


def _flash(ethanol_percent: float, water_percent: float) -> Answer | None:
    if not ethanol_percent:
        return None
    from stillroom.evidence.answer import reading

    strength = 100 * float(spirit_volume_fraction_20c(ethanol_percent / (ethanol_percent + water_percent)))
    return flash_point(reading("strength of the product's spirit", strength, "%", "its formula")).answer


def _what(look: Reader, code: str) -> str:
    lot = look.lot(code)
    owner = "" if lot.owner == OURS else f", of {lot.owner}"
    if lot.made_by:
        return f"{lot.name}, batch {lot.made_by} of this laboratory{owner}"
    origin = f"from {lot.supplier}" if lot.supplier else "supplier not stated"
    if lot.supplier == "made here":
        origin = "made here"
    return f"{lot.name}, {origin}{owner}"
