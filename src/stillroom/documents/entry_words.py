"""What an entry says, in half a sentence."""

from stillroom.products.papers import OUTCOME_WORDS, paper_name
from stillroom.records.entries import (
    AnswerKept,
    BatchBegun,
    BatchGivenUp,
    CeilingStated,
    ComplaintHeard,
    ConditionNoted,
    ControlTestRead,
    DeviationNoted,
    DutiesGiven,
    EvidenceShown,
    GoodsOrdered,
    IdentityDecided,
    LotOpened,
    LotReceived,
    Moved,
    OfferEnded,
    OfferMade,
    OutageNoted,
    PlantDescribed,
    PriceNoted,
    ReadingTaken,
    ReagentAllowed,
    ResultReckoned,
    StatusDecided,
    StepDone,
    StockCounted,
    UnitsFilled,
)
from stillroom.texts.catalogue import later, t

DUTY_WORDS = {"makes": later("maker"), "checks": later("checker"), "owns": later("owner")}
ENDED = {"accepted": later("accepted"), "withdrawn": later("withdrawn")}


def told(body: object) -> str:
    """An entry's body in half a sentence."""
    match body:
        case LotReceived(lot=lot, as_written=text):
            return t("{told} of {lot_name}", told=text or "some", lot_name=lot.name)
        case IdentityDecided(accepted=accepted, evidence=evidence):
            return f"{t('accepted') if accepted else t('not accepted')}: {evidence}"
        case PlantDescribed(as_written=text):
            return text
        case ReadingTaken(what=what, as_written=text):
            return f"{what} {text}"
        case ResultReckoned(what=what, counts=counts):
            return f"{what}{'' if counts else t(' (does not count)')}"
        case ControlTestRead(test=test, outcome=outcome):
            return f"{test}: {outcome}"
        case EvidenceShown(what=what, outcome=outcome, says=says, document=document):
            found = ", ".join(one for one in (t(OUTCOME_WORDS[outcome]), says, document) if one)
            return f"{paper_name(what)}: {found}"
        case StatusDecided(to=to, meaning=meaning):
            return f"{to.value}: {meaning}"
        case BatchBegun(procedure=procedure):
            return t("batch of {procedure}", procedure=procedure)
        case BatchGivenUp(why=why, taken_up_again=again):
            return t("taken up again") if again else t("given up: {why}", why=why)
        case StepDone(step=step, not_done=True):
            return t("{step}: not done", step=step)
        case StepDone(step=step, weighings=weighings):
            return f"{step}: " + ", ".join(f"{one.line} {one.as_written}" for one in weighings)
        case DeviationNoted(what=what):
            return what
        case ComplaintHeard(who=who, what=what):
            return t("{who} complained: {what}", who=who, what=what)
        case CeilingStated(as_written=text, product_type=product_type, source=source):
            return t(
                "at most {text} in {product_type}, by {source}",
                text=text,
                product_type=product_type,
                source=source,
            )
        case OutageNoted(what=what, is_back=is_back):
            return f"{what} {'back' if is_back else 'off'}"
        case ConditionNoted(what=what, as_written=text):
            return f"{what} {text}"
        case DutiesGiven():
            return duty_words(body)
        case PriceNoted(of=of, as_written=text):
            return f"{of} {text}"
        case UnitsFilled(units=units):
            return t("{amount} filled", amount=body.each.counted(units))
        case Moved(why=why):
            return why
        case OfferMade(title=text, customer=customer):
            return t("{what}, offered to {customer}", what=text, customer=customer)
        case OfferEnded(how=how, why=why, order=order):
            words = t("accepted: order {order}", order=order) if order else t(ENDED[how])
            return f"{words}{': ' + why if why else ''}"
        case GoodsOrdered(as_written=text, substance=substance, comes=day, called_off=off):
            words = t("{amount} of {substance}, comes {day}", amount=text, substance=substance, day=day)
            return f"{words}: {t('called off')}" if off else words
        case AnswerKept(title=text):
            return text
        case StockCounted(as_written=text):
            return t("{text} found on the shelf", text=text)
        case LotOpened(note=note):
            return t("opened{which}", which=": " + note if note else "")
        case ReagentAllowed(allowed=allowed, why=why):
            return f"{t('may be made here') if allowed else t('not made here any more')}: {why}"
    return ""


def duty_words(given: DutiesGiven) -> str:
    """What a person does here, in a few words."""
    found = [t(words) for field, words in DUTY_WORDS.items() if getattr(given, field)]
    return ", ".join(found) or t("reader")
