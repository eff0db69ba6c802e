"""Where all of one lot is, in figures and in words: what came, what went, what is missing or too much."""

from dataclasses import dataclass
from typing import Literal

from stillroom.records.lot_kinds import CountedIn
from stillroom.records.lots import BEYOND_THE_BOOK, RETAINED, RETURNED, SHELF, Lot, Status, grams
from stillroom.texts.catalogue import t


@dataclass(frozen=True, slots=True)
class LotAccount:
    """Where all of one lot is."""

    lot: Lot
    status: Status
    counted_in: CountedIn
    came: int
    """Received or made."""
    went: tuple[tuple[str, int], ...]
    """Account and amount now standing there, the shelf left out."""
    shelf: int
    """What the book says is on the shelf."""
    found: int | None = None
    """What was last counted there."""
    beyond: int = 0
    """What was used of it although the book did not have it."""
    in_others: tuple[int, int] = (0, 0)
    """In how many accounts that ``went`` leaves out how much stands. [1, ug or pieces]"""

    @property
    def unexplained(self) -> int | None:
        """Book less shelf; None when nothing was counted."""
        return None if self.found is None else self.shelf - self.found

    @property
    def unexplained_percent(self) -> float | None:
        """Share of the whole lot [%]."""
        return None if self.unexplained is None or not self.came else 100 * self.unexplained / self.came

    @property
    def closes(self) -> bool:
        """Whether everything that came is somewhere."""
        return self.came == self.shelf + sum(amount for _, amount in self.went) + self.in_others[1]

    def standing(self, start: str) -> int:
        """Amount standing in the accounts that begin with ``start``."""
        return sum(amount for account, amount in self.went if account.startswith(start))


def amount_text(amount: int, counted_in: Literal["ug", "piece"]) -> str:
    """Grams to the milligram's worth that matters, or pieces."""
    if counted_in == "piece":
        return f"{amount}"
    mass_g = grams(amount)
    if abs(mass_g) >= 1000:
        return f"{mass_g / 1000:.3f} kg"
    return f"{mass_g:.2f} g" if abs(mass_g) >= 0.1 or mass_g == 0 else f"{mass_g * 1000:.1f} mg"


def in_words(account: str) -> str:
    """An account as a person says it."""
    head, _, tail = account.partition("/")
    if account == "outside/made here":
        return t("made here")
    if account == BEYOND_THE_BOOK:
        return t("beyond the book")
    return {
        "batch": t("batch {tail}", tail=tail),
        "customer": t("customer, order {tail}", tail=tail),
        "outside": t("from {tail}", tail=tail),
        "loss": t("lost: {tail}", tail=tail),
        "testing": t("used for tests of {tail}", tail=tail),
        SHELF: t("the shelf"),
        RETAINED: t("retained samples"),
        RETURNED: t("set apart as returned"),
        "waste": "waste",
    }.get(head, account)


def share_unexplained(one: LotAccount, unexplained: int) -> str:
    """What is unexplained of a lot, with its share of the whole where there is one."""
    share = one.unexplained_percent
    return amount_text(unexplained, one.counted_in) + ("" if share is None else f" ({share:.2f} %)")


def gap_words(one: LotAccount) -> str:
    """That more of a lot was used than the book had, and what to do about it."""
    return t(
        "{lot_code}: {amount} more were used than the book had. The shelf holds less than "
        "the book thinks: count it, and correct the entry that is wrong.",
        lot_code=one.lot.code,
        amount=amount_text(one.beyond, one.counted_in),
    )


def unexplained_words(one: LotAccount, amount: int) -> str:
    """What is on paper and not in the jar, or the other way, and where to look."""
    if amount < 0:
        more = amount_text(-amount, one.counted_in)
        return t(
            "{lot_code}: {more} more are in the jar than on paper. Look for a weighing read or "
            "written wrongly.",
            lot_code=one.lot.code,
            more=more,
        )
    return t(
        "{lot_code}: {amount} are on paper but not in the jar. Look for an unwritten test "
        "portion, a spill, or drying; write it as a movement with its reason, or leave it "
        "open.",
        lot_code=one.lot.code,
        amount=amount_text(amount, one.counted_in),
    )
