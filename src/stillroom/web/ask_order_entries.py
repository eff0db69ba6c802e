"""What the third question asks: six entries on one screen, and the assumptions that were opened or said."""

from collections.abc import Mapping
from datetime import date

from stillroom.actions.ask_order import days_ahead
from stillroom.actions.order_unsaid import CHOICES
from stillroom.actions.questions import KEPT_ORDER, ORDER_ENTRIES
from stillroom.products.kinds import KINDS_OF_PRODUCT
from stillroom.records.starters import starters
from stillroom.reference.tables import table
from stillroom.substances.plant_contents import plants_known
from stillroom.texts.catalogue import t
from stillroom.web.ask_entries import Choices, Control, Question, Row


def order_question(fields: Mapping[str, str], opened: str, today: date) -> Question:
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
    return Question(
        name="order",
        title=t("order_form.work_an_order_back"),
        lead="",
        button=t("order_form.what_does_it_take"),
        rows=(
            Row(
                t("order_form.product_kind"),
                (
                    Control("product", t("order_form.product")),
                    Control(
                        "kind", t("order_form.kind_of_product"), "choice", choices=_same(*KINDS_OF_PRODUCT)
                    ),
                ),
            ),
            Row(
                t("order_form.bottles_content"),
                (Control("bottles", t("order_form.bottles_content")),),
                t("order_form.such_as"),
            ),
            Row(
                t("order_form.it_holds_of_what"),
                (
                    Control("strength", t("order_form.strength_of_the_product"), "figure", "%"),
                    Control("of", t("order_form.of_what"), "list", choices=_same(*markers)),
                ),
            ),
            Row(
                t("order_form.plant_and_part"),
                (Control("plant", t("order_form.plant_and_part"), "list", choices=_same(*plants_known())),),
            ),
            Row(
                t("order_form.way_of_extracting"),
                (
                    Control(
                        "way",
                        t("order_form.way_of_extracting"),
                        "choice",
                        choices=tuple((one.name, one.title) for one in starters()),
                    ),
                ),
            ),
            Row(t("order_form.due"), (Control("due", t("order_form.due"), "date", value=days_ahead(today)),)),
        ),
        more=tuple(Row(_words(name), (_control(name),), _hint(name)) for name in besides),
    )


def _control(name: str) -> Control:
    if name in CHOICES:
        return Control(name, _words(name), "choice", choices=_same(*CHOICES[name]))
    return Control(name, _words(name))


def _hint(name: str) -> str:
    if name == KEPT_ORDER:
        return t("order_form.plan_made_anew_said")
    return "" if name in CHOICES else t("order_form.such_place_taken_otherwise")


def _words(name: str) -> str:
    return name.removeprefix("set-").replace("-", " ").capitalize()


def _keys(name: str) -> tuple[str, ...]:
    return tuple(one.key for one in table(name).rows)


def _same(*words: str) -> Choices:
    return tuple((one, one) for one in words)
