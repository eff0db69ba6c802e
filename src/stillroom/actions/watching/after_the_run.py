"""After a watched run: the marc checked against what the watch said, and the log of its siphonings as a table.

The check is a few grams of the dried marc extracted again to the end. A log of another laboratory, or a published run,
comes in as the same table, and is then watched like one's own.
"""

import csv
import io
from dataclasses import dataclass
from datetime import datetime, timedelta

from stillroom.actions.book.acts import Act
from stillroom.actions.book.laboratory import Done
from stillroom.actions.book.siphonings_tapped import IT_SIPHONED, TAP, since_filled, taps_of, watched_step
from stillroom.actions.watching import siphonings_noted as noted
from stillroom.actions.watching.bed_run import bed_run
from stillroom.actions.watching.run_watched import run_watched, watches_bed
from stillroom.answers.marc_checked import left_in_marc
from stillroom.asking.entries import needed
from stillroom.asking.readers import Figure, Words
from stillroom.asking.said import Said
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, reading
from stillroom.records.entries import ReadingTaken
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import between, later, t

PORTION, FOUND, MARC, COLLECTED = (
    "marc extracted again",
    "its dry residue",
    "dry marc in all",
    "dry extract of the run",
)
CHECKED = "left in the marc"
COLUMNS = ("time", "siphonings", "vial", "residue_mg", "sample_ml", "refractometer", "blank", "drop")
SIGNALS = {
    "vial": (noted.VIAL, ""), "residue_mg": (noted.RESIDUE, "mg"), "sample_ml": (noted.VOLUME, "mL"),
    "refractometer": (noted.READ, "%"), "blank": (noted.BLANK, "%"), "drop": (noted.DROP, ""),
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class MarcExtracted(Said):
    """A portion of the dried marc, extracted again."""

    portion: Answer = needed(
        Figure(of=PORTION, symbol="g", unit="g"), label=later("Dried marc that was extracted again"),
        must=later("The portion of dried marc is asked"), do=later("Weigh it"), help='Dried: "5.00 g".',
    )  # fmt: skip
    residue: Answer = needed(
        Figure(of=FOUND, symbol="mg", unit="mg", zero=True), label=later("What it gave, dry"), beside=True,
        must=later("What the portion gave is asked"), do=later("Dry and weigh it"), help='Dry: "62 mg".',
    )  # fmt: skip
    marc: Answer = needed(
        Figure(of=MARC, symbol="g", unit="g"), label=later("Dried marc in all"),
        must=later("The dried marc in all is asked"), do=later("Weigh it"), help='Dried, all of it: "38.2 g".',
    )  # fmt: skip
    collected: Answer = needed(
        Figure(of=COLLECTED, symbol="g", unit="g"), label=later("Dry extract the run gave"), beside=True,
        must=later("The dry extract of the run is asked"), do=later("Weigh it"), help='Dry: "9.61 g".',
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


def _check(pen: BookWriter, batch: str, said: MarcExtracted) -> Done:
    """Enter what the marc gave, and tell it beside what the watch said."""
    given = {PORTION: said.portion, FOUND: said.residue, MARC: said.marc, COLLECTED: said.collected}
    leaves = dict[str, Answer]()
    numbers = list[int]()
    for (name, one), field in zip(given.items(), ("portion", "residue", "marc", "collected"), strict=True):
        body = ReadingTaken(batch, name, one.value, one.unit, said.text[field], series="marc checked")
        numbers.append(pen.enter(body))
        leaves[name] = reading(name, one.value, one.unit, f"entry {numbers[-1]}", entry_no=numbers[-1])
    found = left_in_marc(*leaves.values())
    told = t("{left:.1f} % was still inside.", left=found.value)
    bed = watches_bed(pen.look, batch)
    watched = bed_run(pen.look, batch).found if bed else run_watched(pen.look, batch).found
    if watched is not None:
        inside = watched.advice.inside
        ends = between(f"{100 * inside.low:.0f}", f"{100 * inside.high:.0f}")
        held = inside.low <= found.value / 100.0 <= inside.high
        told += t(
            " The watch said {said:.0f} % ({ends}): it holds." if held else
            " The watch said {said:.0f} % ({ends}): it does not hold.",
            said=100 * inside.middle, ends=ends,
        )  # fmt: skip
    return Done(tuple(numbers), told)


def log_of(look: Reader, batch: str) -> str:
    """The taps of a watched run and what was looked at, as CSV.

    Parameters
    ----------
    look : Reader
    batch : str
    """
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
            number = one.body.series.rpartition(" ")[2]
            tap = by_number.get(int(number)) if number.isdigit() else None
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
    help="What was left in the marc, from a portion of it extracted again; beside what the watch said.",
    of="BATCH",
    title=later("The marc, checked"),
    lead=later("A few grams of the dried marc, extracted again until nothing comes."),
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
