"""After a watched run: the marc checked against what the watch said, and the log of its siphonings as a table.

The check is a few grams of the dried marc extracted again to the end. A log of another laboratory, or a published run,
comes in as the same table, and is then watched like one's own.
"""

import csv
import io
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from stillroom.actions.book.acts import Act
from stillroom.actions.book.laboratory import Done
from stillroom.actions.book.marc_seen import COLLECTED, FOUND, MARC, MARC_CHECKED, PORTION, marc_seen
from stillroom.actions.book.siphonings_tapped import IT_SIPHONED, TAP, since_filled, taps_of, watched_step
from stillroom.actions.making.what_it_gave import dry_plant_weighed_in
from stillroom.actions.watching import siphonings_noted as noted
from stillroom.actions.watching.bed_run import bed_run
from stillroom.actions.watching.run_watched import run_watched, watches_bed
from stillroom.answers.budget import Stated, stated
from stillroom.answers.plain_sums import less
from stillroom.asking.entries import maybe, needed
from stillroom.asking.readers import Figure, Words
from stillroom.asking.said import Said
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, reckoned
from stillroom.planning.finished import MARC_DRY_DOUBT
from stillroom.quantities.numbers import in_digits
from stillroom.records.entries import ReadingTaken
from stillroom.science.extraction.bed_advice import BedAdvice
from stillroom.science.extraction.watching_advice import Advice, Ranged
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import between, later, t

COLUMNS = ("time", "siphonings", "vial", "residue_mg", "sample_ml", "refractometer", "blank", "drop")
SIGNALS = {
    "vial": (noted.VIAL, ""), "residue_mg": (noted.RESIDUE, "mg"), "sample_ml": (noted.VOLUME, "mL"),
    "refractometer": (noted.READ, "%"), "blank": (noted.BLANK, "%"), "drop": (noted.DROP, ""),
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class MarcExtracted(Said):
    """The dried marc, weighed, and a portion of it extracted again."""

    marc: Answer = needed(
        Figure(of=MARC, symbol="g", unit="g"), label=later("Dried marc in all"),
        must=later("The dried marc in all is asked"), do=later("Weigh it"), help='Dried, all of it: "38.2 g".',
    )  # fmt: skip
    portion: Answer | None = maybe(
        Figure(of=PORTION, symbol="g", unit="g"), label=later("Dried marc that was extracted again"),
        hint=later("Left empty, with the two below, where it was only weighed"), help='Dried: "5.00 g".',
    )  # fmt: skip
    residue: Answer | None = maybe(
        Figure(of=FOUND, symbol="mg", unit="mg", zero=True, negative=True),
        label=later("What it gave, dry"), beside=True, help='Dry: "62 mg".',
    )  # fmt: skip
    collected: Answer | None = maybe(
        Figure(of=COLLECTED, symbol="g", unit="g"), label=later("Dry extract the run gave"), beside=True,
        hint=later("All that dissolved, before any clean-up"),
        help='Dry: "9.61 g".',
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Log(Said):
    """A log of siphonings, as a table."""

    log: str = needed(
        Words(long=True), label=later("The log"), must=later("A log has a row for each siphoning"),
        do=later("Paste the table with its head"),
        hint=later("time, siphonings, vial, residue_mg, sample_ml, refractometer, blank, drop; empty where not seen"),
        help="The table: a head with time and any of siphonings, vial, residue_mg, sample_ml, refractometer, drop.",
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class MarcChecked:
    """The marc of a batch beside what the watch said."""

    left: Answer | None
    """Share left in it; None where nothing was extracted again. [%]"""
    gone: Stated | None
    """What went out of the plant by the weight of the marc; None where it is not told. [g]"""
    says: tuple[str, ...]


def marc_checked(look: Reader, batch: str) -> MarcChecked | None:
    """How much was left in the marc against what the watch said; None where nobody checked."""
    seen = marc_seen(look, batch)
    if seen is None:
        return None
    bed = watches_bed(look, batch)
    watched = bed_run(look, batch).found if bed else run_watched(look, batch).found
    advice = watched.advice if watched is not None else None
    left, gone = seen.left, _gone(look, batch, seen.marc)
    says = list[str]()
    if left is not None:
        says.append(
            t("{left:.1f} % was still inside.", left=left.value)
            + _beside(advice.inside if advice else None, left.value / 100.0, 0.0, 100.0, "%")
        )
    if gone is not None:
        sure, weight_g = gone.expanded_uncertainty or 0.0, gone.answer.value
        says.append(
            t("By its weight {gone:.1f} g ± {sure:.1f} went out of the plant.", gone=weight_g, sure=sure)
            + _beside(_came_out(advice) if advice else None, weight_g, sure, 1.0, "g")
        )
    return MarcChecked(left, gone, tuple(says))


def _beside(said: Ranged | None, value: float, sure: float, times: float, unit: str) -> str:
    """What the watch said of it, and whether that holds; "" where nobody watched."""
    if said is None:
        return ""
    decimals = 0 if unit == "%" else 1
    ends = between(f"{times * said.low:.{decimals}f}", f"{times * said.high:.{decimals}f}")
    held = value + sure >= said.low and value - sure <= said.high
    return t(
        " The watch said {said} {unit} ({ends}): it holds." if held else
        " The watch said {said} {unit} ({ends}): it does not hold.",
        said=f"{times * said.middle:.{decimals}f}", unit=unit, ends=ends,
    )  # fmt: skip


def _came_out(advice: Advice | BedAdvice) -> Ranged:
    """What the watch says came out, as its two figures allow [g]."""
    amount, inside = advice.amount_g, advice.inside
    return Ranged(
        amount.middle * (1.0 - inside.middle),
        amount.low * (1.0 - inside.high),
        amount.high * (1.0 - inside.low),
    )


def _gone(look: Reader, batch: str, marc: Answer) -> Stated | None:
    """The dry plant of a batch less its dried marc; None where no plant was weighed in [g]."""
    dry = dry_plant_weighed_in(look, batch)
    if dry is None:
        return None
    marc = replace(marc, standard_uncertainty=MARC_DRY_DOUBT * marc.value)
    gone = reckoned(
        "gone out of the plant", less, unit="g", inputs={"from_this": dry, "this": marc},
        says="plant weighed in without its water, less its marc, dried",
    )  # fmt: skip
    return stated(gone)


def _check(pen: BookWriter, batch: str, said: MarcExtracted) -> Done:
    """Enter what the marc weighed and gave, and tell it beside what the watch said."""
    given = {PORTION: said.portion, FOUND: said.residue, MARC: said.marc, COLLECTED: said.collected}
    again = [said.portion, said.residue, said.collected]
    if any(again) and not all(again):
        raise BadEntry(
            "What was extracted again has three figures: the portion, what it gave, and what the run gave",
            worded("{count} of them", count=sum(one is not None for one in again)),
            "Weigh the rest; or leave all three empty where the marc was only weighed",
            where="portion",
        )
    numbers = list[int]()
    for (name, one), field in zip(given.items(), ("portion", "residue", "marc", "collected"), strict=True):
        if one is not None:
            body = ReadingTaken(batch, name, one.value, one.unit, said.text[field], series=MARC_CHECKED)
            numbers.append(pen.enter(body))
    found = marc_checked(pen.look, batch)
    says = " ".join(found.says) if found else ""
    return Done(tuple(numbers), says or t("The weight of the marc is kept."))


def log_of(look: Reader, batch: str) -> str:
    """The taps of a watched run and what was looked at, as CSV."""
    names = {what: column for column, (what, _) in SIGNALS.items()}
    rows = list[tuple[str, str, str]]()
    step = watched_step(look, batch)
    for one in taps_of(look, batch, step):
        said = "" if one.body.as_written == IT_SIPHONED else f"{one.body.value:g}"
        rows.append((one.done_at, "siphonings", said))
    run = run_watched(look, batch)
    by_number = {one.number: one.tap for one in run.rows if one.tap}
    for one in since_filled(look, batch, None, None):
        if one.body.what in names:
            number = in_digits(one.body.series.rpartition(" ")[2])
            tap = None if number is None else by_number.get(number)
            rows.append((tap.done_at if tap else one.done_at, names[one.body.what], f"{one.body.value:g}"))
    table: dict[str, dict[str, str]] = {}
    for at, column, value in sorted(rows):
        table.setdefault(at, {})[column] = value
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, restval="", lineterminator="\n")
    writer.writeheader()
    for at, row in table.items():
        writer.writerow({"time": at, "siphonings": row.get("siphonings", "0"), **row})
    return out.getvalue()


def _enter_log(pen: BookWriter, batch: str, said: Log) -> Done:
    """Enter every row of a log at its own time."""
    step = watched_step(pen.look, batch)
    numbers = list[int]()
    rows = list(csv.DictReader(io.StringIO(said.log.strip())))
    unknown = sorted(set(rows[0]) - {*COLUMNS, "minutes"}) if rows else []
    if not rows or unknown or not {"time", "minutes"} & set(rows[0]):
        raise BadEntry(
            worded("The head of a log has time or minutes, and any of {columns}", columns=", ".join(COLUMNS[1:])),
            ", ".join(unknown) or "another", "Write the head like that", where="log",
        )  # fmt: skip
    ends = datetime.fromisoformat(pen.entered_at)
    last = _minutes(rows[-1]) if "minutes" in rows[0] else 0.0
    for row in rows:
        at = _time(row, ends, last)
        if row.get("siphonings", "") != "0":
            count = row.get("siphonings") or ""
            words = t("{count} siphonings", count=count) if count else IT_SIPHONED
            value = _figure(count or "1")
            body = ReadingTaken(batch, TAP, value, "", words, series=step)
            numbers.append(pen.enter(body, done_at=at))
        for column, (what, unit) in SIGNALS.items():
            text = row.get(column) or ""
            if text:
                sure = noted.RESIDUE_SD_MG if what == noted.RESIDUE else None
                body = ReadingTaken(
                    batch, what, _figure(text), unit, text, series=step, standard_uncertainty=sure
                )
                numbers.append(pen.enter(body, done_at=at))
    return Done(tuple(numbers), t("{count} rows of the log are entered.", count=len(rows)))


def _figure(text: str) -> float:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise BadEntry(
            "A cell of a log is a figure", repr(text[:20]), "Write 34 or 34.5", where="log"
        ) from None


def _minutes(row: dict[str, str]) -> float:
    return _figure(row.get("minutes") or "0")


def _time(row: dict[str, str], ends: datetime, last_min: float) -> str:
    """When a row was: by its time, or by its minutes with the last row now."""
    if row.get("time"):
        try:
            told = datetime.fromisoformat(row["time"])
        except ValueError:
            raise BadEntry(
                "A time is written like 2026-11-05 14:30", repr(row["time"][:30]), where="log"
            ) from None
        return (told if told.tzinfo else told.replace(tzinfo=ends.tzinfo)).isoformat(timespec="seconds")
    return (ends - timedelta(minutes=last_min - _minutes(row))).isoformat(timespec="seconds")


check_marc = Act(
    name="marc",
    action="check the marc",
    said=MarcExtracted,
    writes=_check,
    help="The dried marc, weighed or a portion of it extracted again; beside what the watch said.",
    of="BATCH",
    title=later("The marc, checked"),
    lead=later("All of it dried and weighed; better with a few grams extracted again until nothing comes."),
    button=later("Save"),
    address="/make/{code}/marc",
    then="/make/{code}/watch",
)
enter_log = Act(
    name="log",
    action="enter a log",
    said=Log,
    writes=_enter_log,
    help="A log of siphonings as a table, your own or of another laboratory.",
    of="BATCH",
    title=later("A log of siphonings"),
    lead=later("Each row at its own time; minutes count to now where there is no time."),
    button=later("Save"),
    address="/make/{code}/log",
    then="/make/{code}/watch",
)
