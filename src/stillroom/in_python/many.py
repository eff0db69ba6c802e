"""Many enquiries at once: each answered with all its draws, in this process, in several, or on a cluster.

Promises that an enquiry gives the same whoever works it: its draws hang on the seed and on its own row alone, so the
order in which rows end, and how many work, move nothing. What has ended is kept as it ends and is not worked again.
Each enquiry stands alone: with a book, each waits for the bench as that book leaves it and is served by its shelf, but
none of them takes anything from another.
"""

import hashlib
import json
import logging
import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from datetime import date
from math import sqrt
from pathlib import Path
from typing import Any

import numpy as np

from stillroom import __version__
from stillroom.actions.book.laboratory import Laboratory
from stillroom.documents.offer_price import without_a_date
from stillroom.errors import BadEntry, StillroomError
from stillroom.in_python.of_a_book import Book, of_book, request_and_terms, said_of
from stillroom.planning.offering.draws import draw
from stillroom.planning.offering.offer import Lack
from stillroom.planning.offering.product import begun, product_offer
from stillroom.planning.offering.terms import OfferTerms
from stillroom.planning.request import PlanRequest

SEED, DRAWS = 7, 4096
PATIENCE = "10s"
"""How long a cluster may take to answer."""
HALF_OF_90 = 1.6449
"""Standard deviations from the middle to the ends between which 90 of 100 lie."""
Tell = Callable[[int, int], None]
"""Told after each row how many have ended, and of how many."""


@dataclass(frozen=True, slots=True)
class Answered:
    """One enquiry answered, or why it was not.

    Attributes
    ----------
    row : int
        The first is 1.
    what, plant, currency : str
    refused : str
        Why it could not be answered; "" where it was.
    ready_on : str
        ISO date, of an order given today.
    days_promised : int
        [d]
    kept_percent, strong_percent, chance_wanted_percent : float or None
        Of the promise, of the strength being right at once, of the date wanted. [%]
    plant_kg : float
        To have for it. [kg]
    hours, hours_sd : float
        Mean and standard deviation over the draws. [h]
    cost, cost_sd, cost_low, cost_high : float
        Mean, standard deviation, 5 and 95 % of the draws. [currency]
    price : float or None
        Without tax. [currency]
    """

    row: int
    what: str = ""
    plant: str = ""
    currency: str = ""
    refused: str = ""
    ready_on: str = ""
    days_promised: int = 0
    kept_percent: float | None = None
    strong_percent: float | None = None
    chance_wanted_percent: float | None = None
    plant_kg: float = 0.0
    hours: float = 0.0
    hours_sd: float = 0.0
    cost: float = 0.0
    cost_sd: float = 0.0
    cost_low: float = 0.0
    cost_high: float = 0.0
    price: float | None = None


@dataclass(frozen=True, slots=True)
class InAll:
    """What many enquiries come to together, each by itself and independent of the others.

    Attributes
    ----------
    answered, refused : int
    plant_kg : mapping of str to float
        By plant. [kg]
    hours, cost : tuple of (float, float, float)
        5 %, mean, 95 %. [h, currency]
    currency : str
        Of the cost; "" where they were answered in more than one.
    """

    answered: int
    refused: int
    plant_kg: Mapping[str, float]
    hours: tuple[float, float, float]
    cost: tuple[float, float, float]
    currency: str


def many_offers(
    enquiries: Iterable[Mapping[str, str]],
    *,
    seed: int = SEED,
    draws: int = DRAWS,
    today: date | None = None,
    workers: int = 0,
    on: str = "",
    under_way: Path | None = None,
    tell: Tell | None = None,
    lab: Laboratory | None = None,
) -> list[Answered]:
    """Answer many enquiries for bottles, each with all its draws.

    Parameters
    ----------
    enquiries : iterable of mapping of str to str
        Entries of ``offer``, by their names; empty ones are not said.
    seed : int
        The same seed gives the same answers.
    draws : int
        Of each enquiry. [1]
    today : date, optional
        The days are counted from it; today where left out.
    workers : int
        Processes on this machine; 0 works them here, one after the other.
    on : str
        Address of the scheduler of a Dask cluster: "tcp://bench:8786".
    under_way : Path, optional
        A file in which each answer is kept as it ends; what stands in it is not worked again.
    tell : function, optional
        Told after each row how many have ended, and of how many.
    lab : Laboratory, optional
        Whose book says what is on the shelf, what things cost, and when its bench is free.

    Returns
    -------
    list of Answered
        In the order of the rows.

    Raises
    ------
    BadEntry
        Processes or a cluster are asked for and Dask is not installed, or both are; or no cluster answers.

    Examples
    --------
    >>> asked = {"product": "tonic", "bottles": "24 × 50 mL", "strength": "0.1", "of": "rosmarinic acid",
    ...          "plant": "rosemary leaf", "way": "infusion", "kind": "hair leave-on"}
    >>> found = many_offers([asked, asked], draws=256, today=date(2026, 11, 30))
    >>> [one.row for one in found], found[0].plant_kg != found[1].plant_kg
    ([1, 2], True)
    """
    if on and workers:
        raise BadEntry(
            "A cluster has its own workers", f"{on}, {workers}", "Say one of them", where="workers"
        )
    when = (today or date.today()).isoformat()  # noqa: DTZ011 - the day on the wall
    asked = [{name: text for name, text in one.items() if text} for one in enquiries]
    known = of_book(lab, asked, when) if lab is not None else [""] * len(asked)
    rows = [
        (number, text, when, seed, draws, book)
        for number, (text, book) in enumerate(zip(asked, known, strict=True), start=1)
    ]
    keys = [key_of(*one) for one in rows]
    found = {key: one for key, one in _kept(under_way) if key in set(keys)}
    left = [(key, one) for key, one in zip(keys, rows, strict=True) if key not in found]
    ended = len(rows) - len(left)
    for key, one in _worked(left, workers, on):
        found[key] = one
        _keep(under_way, key, one)
        ended += 1
        if tell is not None:
            tell(ended, len(rows))
    return [found[key] for key in keys]


def answer_row(
    row: int, text: Mapping[str, str], today: str, seed: int, draws: int, book: str = ""
) -> Answered:
    """Answer one row of many; a refusal is an answer too.

    Parameters
    ----------
    row : int
    text : mapping of str to str
        Entries of ``offer``.
    today : str
        ISO date.
    seed, draws : int
    book : str
        What a book knows for it, as JSON; "" without one.
    """
    try:
        said = said_of(text, today)
        if book and (refused := json.loads(book).get("refused")):
            return Answered(row, refused=refused)
        return _answered(row, *request_and_terms(said, book), seed, draws)
    except StillroomError as trouble:
        return Answered(row, refused=trouble.sentence)


def in_all(answers: Sequence[Answered]) -> InAll:
    """What many enquiries come to together.

    Parameters
    ----------
    answers : sequence of Answered

    Notes
    -----
    Sum of means, root of the sum of variances; the sum taken to be normal.
    """
    told = [one for one in answers if not one.refused]
    plant: dict[str, float] = {}
    for one in told:
        plant[one.plant] = plant.get(one.plant, 0.0) + one.plant_kg
    currencies = {one.currency for one in told}
    return InAll(
        len(told),
        len(answers) - len(told),
        plant,
        _together([(one.hours, one.hours_sd) for one in told]),
        _together([(one.cost, one.cost_sd) for one in told]),
        currencies.pop() if len(currencies) == 1 else "",
    )


def key_of(row: int, text: Mapping[str, str], today: str, seed: int, draws: int, book: str = "") -> str:
    """What an answer hangs on, as a short name.

    Parameters
    ----------
    row : int
    text : mapping of str to str
    today : str
    seed, draws : int
    book : str
    """
    hangs_on = [__version__, row, dict(text), today, seed, draws, *([book] if book else [])]
    content = json.dumps(hangs_on, ensure_ascii=False, sort_keys=True)
    return hashlib.sha256(content.encode()).hexdigest()[:24]


def _answered(
    row: int, request: PlanRequest, terms: OfferTerms, known: Book, seed: int, draws: int
) -> Answered:
    own_seed = int.from_bytes(hashlib.sha256(f"{seed}/{row}".encode()).digest()[:4], "big")
    request = replace(request, seed=own_seed, draws=draws)
    served = tuple((key, words) for key, words in known.get("served", ()))
    offer = replace(
        product_offer(request, terms, served), lacks=tuple(Lack(**one) for one in known.get("lacks", ()))
    )
    if offer.lacks:
        return Answered(row, offer.title, request.plant, offer.currency, without_a_date(offer))
    begins, otherwise = begun(request)
    to_buy = tuple(one.item for one in offer.buying if one.high_days)
    drawn = draw(begins, terms, to_buy, otherwise)
    plant = sum(one.needed for one in offer.buying if one.item == "plant_g")
    return Answered(
        row, offer.title, request.plant, offer.currency, "", offer.ready_on, offer.days_promised,
        100.0 * float(np.mean(drawn.days <= offer.days_promised)), offer.strong, offer.chance_wanted, plant / 1000.0,
        float(np.mean(drawn.hours)), float(np.std(drawn.hours)), float(np.mean(drawn.cost)),
        float(np.std(drawn.cost)), offer.cost.low, offer.cost.high, offer.price,
    )  # fmt: skip


def _together(parts: Sequence[tuple[float, float]]) -> tuple[float, float, float]:
    mean, wide = sum(one for one, _ in parts), HALF_OF_90 * sqrt(sum(sd**2 for _, sd in parts))
    return mean - wide, mean, mean + wide


Row = tuple[int, Mapping[str, str], str, int, int, str]


def _worked(left: Sequence[tuple[str, Row]], workers: int, on: str) -> Iterator[tuple[str, Answered]]:
    """Each row as it ends."""
    if not left:
        return
    if not (workers or on):
        for key, one in left:
            yield key, answer_row(*one)
        return
    with _cluster(workers, on) as (client, as_completed):
        futures = {client.submit(answer_row, *one, key=f"offer-{key}"): key for key, one in left}
        for ended in as_completed(futures):
            yield futures[ended], ended.result()


@contextmanager
def _cluster(workers: int, on: str) -> Iterator[tuple[Any, Any]]:
    """A client of a cluster, of this machine or by its address."""
    try:
        import distributed as dask_cluster
    except ImportError:
        raise BadEntry(
            "Several processes or machines are led by Dask", "it is not installed",
            'Install it: pip install "stillroom[cluster]"; or leave workers and cluster out', where="workers",
        ) from None  # fmt: skip
    distributed: Any = dask_cluster
    if on:
        try:
            leads = distributed.Client(on, timeout=PATIENCE)
        except (OSError, ValueError):
            raise BadEntry(
                "A cluster answers at the address of its scheduler",
                on,
                "Look whether it runs there",
                where="on",
            ) from None
        with leads as client:
            yield client, distributed.as_completed
        return
    settings = {
        "threads_per_worker": 1, "dashboard_address": "127.0.0.1:0", "processes": True,
        "silence_logs": logging.CRITICAL,
    }  # fmt: skip
    with (
        distributed.LocalCluster(n_workers=workers, **settings) as own,
        distributed.Client(own) as client,
    ):
        yield client, distributed.as_completed


def _kept(under_way: Path | None) -> Iterator[tuple[str, Answered]]:
    """What a file of answers holds; a line that was cut off is left out."""
    if under_way is None or not under_way.exists():
        return
    for line in under_way.read_text(encoding="utf-8").splitlines():
        try:
            content = json.loads(line)
            yield content.pop("key"), Answered(**content)
        except (ValueError, KeyError, TypeError):
            continue


def _keep(under_way: Path | None, key: str, one: Answered) -> None:
    if under_way is None:
        return
    line = json.dumps({"key": key, **asdict(one)}, ensure_ascii=False)
    with under_way.open("a+b") as file:
        if file.tell() and not _ends_a_line(under_way):
            file.write(b"\n")
        file.write(f"{line}\n".encode())
        file.flush()
        os.fsync(file.fileno())


def _ends_a_line(path: Path) -> bool:
    with path.open("rb") as file:
        file.seek(-1, os.SEEK_END)
        return file.read(1) == b"\n"
