"""What the third question asks: six entries on one screen, and the assumptions that were opened or said."""

from collections.abc import Mapping
from datetime import date

from stillroom.actions.ask_order import days_ahead
from stillroom.actions.order_unsaid import CHOICES
from stillroom.actions.questions import KEPT_ORDER, ORDER_ENTRIES
from stillroom.asking.form import AskForm, Choices, Control, Row
from stillroom.products.kinds import KINDS_OF_PRODUCT
from stillroom.records.starters import starters
from stillroom.reference.tables import table
from stillroom.substances.plant_contents import plants_known
from stillroom.texts.catalogue import t


def order_question(fields: Mapping[str, str], opened: str, today: date) -> AskForm:
    """Work an order back: six entries.

    Parameters
    ----------
    fields : mapping of str to str
        What was said; what replaces an assumption has a row of its own.
    opened : str
        Field of an assumption to be replaced now.
    today : date
    """
    besides = [name for name in fields if name not in ORDER_ENTRIES]
    if opened and opened not in (*ORDER_ENTRIES, *besides):
        besides.insert(0, opened)
    markers = (
        "total alkaloids as quinine",
        "total phenols as gallic acid",
        *_keys("markers"),
    )
    return AskForm(
        name="order",
        title=t("Plan an order"),
        lead="",
        button=t("What does it take?"),
        rows=(
            Row(
                t("Product, kind"),
                (
                    Control("product", t("Product")),
                    Control("kind", t("Kind of product"), "choice", choices=_same(*KINDS_OF_PRODUCT)),
                ),
            ),
            Row(
                t("Bottles × content"),
                (Control("bottles", t("Bottles × content")),),
                t("Such as 24 × 50 mL"),
            ),
            Row(
                t("It holds, of what"),
                (
                    Control("strength", t("Strength of the product"), "figure", "%"),
                    Control("of", t("Of what"), "list", choices=_same(*markers)),
                ),
            ),
            Row(
                t("Plant and part"),
                (Control("plant", t("Plant and part"), "list", choices=_same(*plants_known())),),
            ),
            Row(
                t("Way of extracting"),
                (
                    Control(
                        "way",
                        t("Way of extracting"),
                        "choice",
                        choices=tuple((one.name, one.title) for one in starters()),
                    ),
                ),
            ),
            Row(t("Due"), (Control("due", t("Due"), "date", value=days_ahead(today)),)),
        ),
        more=tuple(Row(_words(name), (_control(name),), _hint(name)) for name in besides),
    )


def _control(name: str) -> Control:
    if name in CHOICES:
        return Control(name, _words(name), "choice", choices=_same(*CHOICES[name]))
    return Control(name, _words(name))


def _hint(name: str) -> str:
    if name == KEPT_ORDER:
        return t("Its plan is calculated again with what is said here")
    return "" if name in CHOICES else t("Such as 5.2 ± 0.3; in place of what is taken otherwise")


def _words(name: str) -> str:
    return name.removeprefix("set-").replace("-", " ").capitalize()


def _keys(name: str) -> tuple[str, ...]:
    return tuple(one.key for one in table(name).rows)


def _same(*words: str) -> Choices:
    return tuple((one, one) for one in words)
