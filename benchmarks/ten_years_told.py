"""The practice story told again and again for ten years, in bulk, by the writer of the book: a book of any size.

Promises the same book for the same seed and size: about as many entries as are asked for, 3 batches and 1,000 movements
to a hundred of them, a few lots that stand in nearly every batch, and old lots used up. What is written is the story of
``stillroom.demo`` with other codes, days, portions and names, so that every page has what it shows. Refuses what the
book refuses; asks no clock. All of it is invented.
"""

import json
import random
import re
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from stillroom.actions.book.laboratory import BOOK_FILE
from stillroom.demo.story import BOOK_ID, tell
from stillroom.evidence.answer import Answer
from stillroom.evidence.trails import from_trail, trail
from stillroom.records.entries import Body, BookBegun, Moved
from stillroom.records.entry_json import body_from_json
from stillroom.records.entry_subjects import movements_of
from stillroom.records.lots import SHELF, Movement
from stillroom.store import Book

SIZES = {"1k": 1_000, "10k": 10_000, "100k": 100_000}
TEN_YEARS_D = 3652
FIRST_DAY = date(2026, 11, 2)
MOVEMENTS_A_ROUND = 1_000
SHELVES_LAST = 25
"""Rounds that a bottle of reagent or a box of bottles serves. [1]"""
STANDS_FOR = 10
"""Rounds after which what is left of a round is thrown away. [1]"""
UNDER_WAY = 3
"""Rounds at the end whose tonics are still on their way. [1]"""

BUSY = ("SPI-01", "WAT-01")
"""Lots that every batch takes from, all ten years."""
RESTS = ("marc", "spent-water")
"""What an extraction leaves beside its extract, as the story calls it."""
LOOKS = ("whole quills", "cut", "broken quills", "powdered", "thick quills")
_DAY = re.compile(r"\b20\d\d-\d\d-\d\d")
_POURED = 40


@dataclass
class _Template:
    """The practice story, entry by entry, as the journal keeps it."""

    entries: list[dict[str, Any]]

    def some(self, first: int, last: int) -> list[dict[str, Any]]:
        return [one for one in self.entries if first <= one["entry_no"] <= last]

    def first(self, kind: str, code: str = "") -> int:
        return next(
            one["entry_no"]
            for one in self.entries
            if one["kind"] == kind and (not code or f'"{code}"' in json.dumps(one["body"]))
        )


@dataclass
class _Teller:
    """Writes the story with other codes, days and portions."""

    book: Book
    chance: random.Random
    numbers: dict[int, int] = field(default_factory=dict)
    """Entry of the story: the entry last written for it."""
    shelf: dict[str, dict[tuple[str, str], int]] = field(default_factory=dict)
    """Round: what stands on the shelf of its lots."""
    of_round: set[str] = field(default_factory=set)
    written: int = 0

    def tell(
        self, some: list[dict[str, Any]], codes: dict[str, str], days: int, *, rounds: int, parts: int = 1
    ) -> None:
        """Write some entries of the story again, as one request.

        Parameters
        ----------
        some : list
            Entries of the story.
        codes : dict
            Code of the story: the code here.
        days : int
            How much later. [d]
        rounds : int
            How much more is received of what every batch takes from. [1]
        parts : int
            In how many portions a step takes what it takes. [1]
        """
        told_code = _renaming(codes)
        look = self.chance.choice(LOOKS)
        moved: dict[int, tuple[Movement, ...]] = {}

        def told(text: str) -> str:
            return _DAY.sub(lambda one: _later(one[0], days), told_code(text)).replace("whole quills", look)

        last = told(some[-1]["done_at"])
        with self.book.pen(by=some[0]["by"], at=last, entered_at=last) as pen:
            for one in some:
                pen.by = one["by"]
                body = self._body(one, told, rounds, parts)
                corrects = one["corrects"] and self.numbers[one["corrects"]]
                number = pen.enter(body, done_at=told(one["done_at"]), why=one["why"], corrects=corrects)
                self.numbers[one["entry_no"]] = number
                self.written += 1
                moved[number] = movements_of(body)
                self._shelve(moved[number], codes.get("E1", ""))
                self._shelve(moved.get(corrects or 0, ()), codes.get("E1", ""), back=True)

    def throw_away(self, of_round: str, at: str) -> None:
        """What is left of a round leaves the shelf."""
        left = self.shelf.pop(of_round, {})
        gone = tuple(
            Movement(lot, SHELF, "waste", amount, unit)  # type: ignore[arg-type]
            for (lot, unit), amount in left.items()
            if amount > 0
        )
        if gone:
            with self.book.pen(by="TO", at=at, entered_at=at) as pen:
                pen.enter(Moved(gone, "past its use"))
                self.written += 1

    def _body(self, one: dict[str, Any], told: Callable[[str], str], rounds: int, parts: int) -> Body:
        content = one["body"]
        kept = content.get("trail")
        rest = {name: value for name, value in content.items() if name != "trail"}
        new: dict[str, Any] = json.loads(told(json.dumps(rest, ensure_ascii=False)))
        for name in ("readings", "because_of"):
            if name in new:
                new[name] = sorted(self.numbers.get(number, number) for number in new[name])
        if kept is not None:
            new["trail"] = trail(self._answer(from_trail(kept), told, {}))
        if one["kind"] == "lot received" and new["lot"]["code"] in BUSY:
            for move in new["movements"]:
                move["amount"] *= rounds
        if one["kind"] == "step done" and parts > 1:
            new["movements"] = [part for move in new["movements"] for part in self._poured(move, parts)]
        return body_from_json(one["kind"], one["version"], new)

    def _poured(self, move: dict[str, Any], parts: int) -> Iterator[dict[str, Any]]:
        """One movement in portions."""
        if move["out_of"] != SHELF or move["amount"] < 1000 * parts:
            yield move
            return
        cuts = sorted(self.chance.sample(range(1, 1000), parts - 1))
        edges = [0, *(move["amount"] * cut // 1000 for cut in cuts), move["amount"]]
        for begin, end in pairwise(edges):
            yield {**move, "amount": end - begin}

    def _answer(self, old: Answer, told: Callable[[str], str], made: dict[str, Answer]) -> Answer:
        if old.key not in made:
            leaf = old.leaf
            if leaf is not None and leaf.entry_no is not None:
                number = self.numbers.get(leaf.entry_no, leaf.entry_no)
                leaf = replace(
                    leaf, entry_no=number, where=leaf.where.replace(str(leaf.entry_no), str(number))
                )
            below = tuple((name, self._answer(one, told, made)) for name, one in old.inputs)
            made[old.key] = replace(
                old, name=told(old.name), says=told(old.says), basis=told(old.basis), leaf=leaf, inputs=below
            )
        return made[old.key]

    def _shelve(self, moves: tuple[Movement, ...], of_round: str, *, back: bool = False) -> None:
        if not of_round:
            return
        shelf = self.shelf.setdefault(of_round, {})
        for move in moves:
            if move.lot not in self.of_round:
                continue
            sign = (move.into == SHELF) - (move.out_of == SHELF)
            sign = -sign if back else sign
            key = move.lot, move.counted_in
            shelf[key] = shelf.get(key, 0) + sign * move.amount


def tell_ten_years(
    where: str | Path,
    entries: int,
    *,
    seed: int = 1,
    files: Path | None = None,
    story: Path | None = None,
    progress: Callable[[int], None] = lambda _: None,
) -> Book:
    """Tell the practice story for ten years into an empty place; the book comes back open.

    Parameters
    ----------
    where : str or Path
        File, or address of an empty database.
    entries : int
        About how many entries. [1]
    seed : int
        Of what differs from round to round.
    files : Path, optional
        Folder of attachments.
    story : Path, optional
        File of a practice book that was told to its end; told anew unless given.
    progress : callable
        Told the number of entries after each round.
    """
    told_once = _Template(_entries_of(story) if story else _told_anew())
    begun = told_once.entries[0]
    first = body_from_json(begun["kind"], begun["version"], begun["body"])
    if not isinstance(first, BookBegun):
        raise TypeError(begun["kind"])
    teller = _Teller(
        Book.begin(
            where, replace(first, book_id=f"{BOOK_ID}-{entries}"), by="MA", at=begun["done_at"], files=files
        ),
        random.Random(seed),
    )
    orders, shelves = told_once.first("order taken"), told_once.first("lot received")
    bark, end = told_once.first("lot received", "CIN-01"), told_once.entries[-1]["entry_no"]
    house = told_once.first("house described")
    readings = told_once.first("reading taken")
    factor = told_once.first("reading taken", "NAOH-01")
    plans = [one["entry_no"] for one in told_once.entries if one["kind"] == "plan made"]
    always = [*told_once.some(2, orders - 1), *told_once.some(house, house)]
    busy = [
        one
        for one in told_once.some(shelves, readings - 1)
        if any(f'"{code}"' in json.dumps(one) for code in BUSY)
    ]
    boxes = [one for one in told_once.some(shelves, readings - 1) if one not in busy]
    earlier = told_once.some(readings, bark - 1)
    each = [
        one
        for one in (*told_once.some(orders, orders + 1), *told_once.some(bark, end))
        if one["entry_no"] not in (house, factor, factor + 1, plans[0])
    ]
    rounds = max(2, round((entries - 60) / (len(each) + 1 + len(boxes) / SHELVES_LAST)))
    teller.tell(always, {}, 0, rounds=1)
    teller.tell(busy, {}, 0, rounds=2 * rounds)
    teller.tell(earlier, {}, 0, rounds=1)
    names = _codes_of(boxes)
    kept: dict[str, str] = {}
    for number in range(rounds):
        days = number * TEN_YEARS_D // rounds
        if number % SHELVES_LAST == 0:
            box = number // SHELVES_LAST + 1
            kept = {code: f"{code.partition('-')[0]}-{box:02d}" for code in names}
            teller.tell(_more(boxes, SHELVES_LAST), kept, days, rounds=1)
            teller.tell(told_once.some(factor, factor + 1), kept, days, rounds=1)
        codes = kept | _codes_of_round(number + 1)
        own = set(_codes_of_round(number + 1).values())
        teller.of_round = own | {f"{codes['E1']}-{rest}" for rest in RESTS}
        told = [one for one in each if number < rounds - UNDER_WAY or _begins(one)]
        if number < rounds - STANDS_FOR:
            told = [_closed(one) for one in told]
        teller.tell(told, codes, days, rounds=1, parts=_POURED)
        if number >= STANDS_FOR:
            old = _codes_of_round(number + 1 - STANDS_FOR)["E1"]
            teller.throw_away(old, f"{_later(FIRST_DAY.isoformat(), days + 22)}T17:00:00+00:00")
        progress(teller.written)
    return teller.book


def last_moment(book: Book) -> str:
    """Time of the last entry (ISO)."""
    with book.look() as look:
        return look.entry(look.head.entry_no).entered_at


def _told_anew() -> list[dict[str, Any]]:
    with TemporaryDirectory() as folder:
        tell(Path(folder) / "story").book.close()
        return _entries_of(Path(folder) / "story" / BOOK_FILE)


def _entries_of(path: Path) -> list[dict[str, Any]]:
    with closing(sqlite3.connect(path)) as book:
        return [json.loads(text) for (text,) in book.execute("SELECT text FROM journal ORDER BY entry_no")]


def _codes_of(some: list[dict[str, Any]]) -> tuple[str, ...]:
    return tuple(one["body"]["lot"]["code"] for one in some if one["kind"] == "lot received")


def _codes_of_round(number: int) -> dict[str, str]:
    return {
        **{code: f"{code.rstrip('0123456789')}{number:04d}" for code in ("E1", "CIN-01")},
        "T1": f"T{2 * number - 1:04d}",
        "T2": f"T{2 * number:04d}",
        "ORD-1": f"ORD-{2 * number - 1:04d}",
        "ORD-2": f"ORD-{2 * number:04d}",
        "REC-01": f"REC-{2 * number - 1:04d}",
        "REC-02": f"REC-{2 * number:04d}",
        "EAC-02": f"EAC-R{number:04d}",
    }


def _renaming(codes: dict[str, str]) -> Callable[[str], str]:
    if not codes:
        return lambda text: text
    found = re.compile(
        rf"(?<![\w-])(?:{'|'.join(map(re.escape, sorted(codes, key=len, reverse=True)))})(?!\w)"
    )
    return lambda text: found.sub(lambda one: codes[one[0]], text)


def _later(day: str, days: int) -> str:
    return (date.fromisoformat(day) + timedelta(days)).isoformat()


def _more(some: list[dict[str, Any]], times: int) -> list[dict[str, Any]]:
    """The same, with so many times as much received."""
    found = json.loads(json.dumps(some))
    for one in found:
        for move in one["body"].get("movements", ()):
            move["amount"] *= times
    return list(found)


def _closed(one: dict[str, Any]) -> dict[str, Any]:
    """An order of an old round asks for what was delivered of it."""
    if one["kind"] != "order taken":
        return one
    units = {"ORD-1": 31, "ORD-2": 44}[one["body"]["order"]["code"]]
    return {**one, "body": {**one["body"], "order": {**one["body"]["order"], "units": units}}}


def _begins(one: dict[str, Any]) -> bool:
    """Whether an entry belongs to what is told of a round that is still under way: up to its extract."""
    return not re.search(r'"T[12]"|customer/', json.dumps(one["body"])) and one["kind"] != "stock counted"
