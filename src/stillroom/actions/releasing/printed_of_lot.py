"""What stands on the release list and on the certificate of a lot, and where it comes out otherwise.

Promises that a figure holds still while what is found anew lies inside its printed ±; a verdict never does.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from stillroom.actions.releasing.certifying import certificate_facts
from stillroom.actions.releasing.release_facts import residue_of
from stillroom.actions.releasing.reviewing import standing_list
from stillroom.documents.blocks import Shown
from stillroom.documents.numbers_shown import show
from stillroom.errors import StillroomError
from stillroom.products.check_lines import STANDINGS, CheckLine
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

STOPS_OR_ASKS = frozenset(STANDINGS) - {"within", "cannot be seen here"}


@dataclass(frozen=True, slots=True)
class Printed:
    """Something that stands on the list or the paper of a lot."""

    text: str
    """As it is printed."""
    value: float | None = None
    """Unrounded, where it is a figure."""
    apart: float = 0.0
    """Its printed ±. [unit of the value]"""
    called: str = ""
    """How a person names it; "" where that is the name it is kept under."""

    def still_says(self, new: "Printed") -> bool:
        """Whether what is found now lies inside what was printed."""
        if self.value is None or new.value is None:
            return self.text == new.text
        return self.text == new.text or abs(new.value - self.value) <= self.apart


def _text(one: Printed | None) -> str:
    return (one.text if one else "") or t("nothing")


def differences(
    old: Mapping[str, Printed], new: Mapping[str, Printed], *, looked_again: bool
) -> tuple[str, ...]:
    """What comes out otherwise than it was printed, old → new.

    Parameters
    ----------
    old, new : mapping of str to Printed
        From ``printed``, before and after.
    looked_again : bool
        Whether nothing was corrected, only read again: then a figure inside the ± that was printed holds still, and
        what was not printed before counts only where it stops or asks for a decision.
    """
    return tuple(
        f"{_called(name, new, old)}: {_text(old.get(name))} → {_text(new.get(name))}"
        for name in dict.fromkeys((*old, *new))
        if _differs(old.get(name), new.get(name), looked_again=looked_again)
    )


def _called(name: str, *known: Mapping[str, Printed]) -> str:
    return next((one[name].called for one in known if name in one and one[name].called), name)


def is_verdict(line: str) -> bool:
    """Whether a line of ``differences`` says what stops or asks for a decision now; such a line stands first."""
    return line.partition(" → ")[2].partition(",")[0] in STOPS_OR_ASKS


def _differs(old: Printed | None, new: Printed | None, *, looked_again: bool) -> bool:
    """Whether something printed comes out otherwise; what was looked at again and holds adds nothing to it."""
    if old is None and new is not None and looked_again:
        return new.value is None and new.text.partition(",")[0] in STOPS_OR_ASKS
    if old is None or new is None or not looked_again:
        return _text(old) != _text(new)
    return not old.still_says(new)


def printed(look: Reader, lot: str) -> dict[str, Printed]:
    """What stands on the list and on the paper of a lot, by name.

    Parameters
    ----------
    lot : str
        Released once.
    """
    try:
        found = standing_list(look, lot)
        facts = certificate_facts(look, lot, found, suspended="-")
    except StillroomError as trouble:
        return {t("Figures"): Printed(trouble.sentence)}
    figures = {one.label: _figure(one) for one in facts.stated.items}
    bound, main = t("Bound held against the ceiling"), next(iter(figures.values()), None)
    if main is not None and bound in figures:  # the bound follows the figure it bounds; the list weighs it
        figures[bound] = Printed(figures[bound].text, figures[bound].value, main.apart)
    residue = residue_of(look, lot)
    measured = residue.found if residue is not None else None
    figures[t("Clean-up solvent")] = (
        Printed(facts.residue) if measured is None else _figure(show(measured), facts.residue)
    )
    figures |= {t("pH"): Printed("")} | {one.label: _figure(one) for one in facts.measured}
    words: dict[str, str] = {f"{one.body.test}, {one.body.subject}": one.body.outcome for one in facts.tests}
    words |= {
        t("Use by"): facts.use_by,
        t("Made on"): facts.made_on,
        t("Product"): facts.account.lot.name,
        t("Amount"): str(facts.account.came),
    }
    words |= {f"{t('Made from')} {code}": what for code, what in facts.made_from}
    lines = {f"line {line.key}": _line(line) for line in found.lines}
    return figures | lines | {name: Printed(text) for name, text in words.items()}


def _line(line: CheckLine) -> Printed:
    within = line.standing == "within"
    return Printed(line.standing if within else f"{line.standing}, {line.says}", called=line.called)


def _figure(shown: Shown, text: str = "") -> Printed:
    apart = float(shown.plus_minus.split()[0]) if shown.plus_minus else 0.0
    return Printed(text or str(shown), shown.exact, apart)
