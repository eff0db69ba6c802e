"""Files a person wrote, entered into the book; what each is, its first key tells."""

from collections.abc import Sequence
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.house.describing import describe_house
from stillroom.actions.house.equipment_and_people import add_apparatus, join_person
from stillroom.actions.house.house_facts import last_condition, note_condition
from stillroom.actions.house.own_things import state
from stillroom.actions.house.pricing import note_price, prices_noted
from stillroom.actions.house.writing_a_procedure import write_procedure
from stillroom.actions.orders.ordering import take_order
from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.records.from_yaml import laboratory_from_yaml, order_from_yaml, procedure_from_yaml
from stillroom.records.laboratory import Laboratory as LaboratoryWritten
from stillroom.records.orders import Order
from stillroom.records.own_from_yaml import KEYS as OWN
from stillroom.records.own_from_yaml import OwnThing, own_from_yaml
from stillroom.records.procedures import Procedure
from stillroom.texts.catalogue import t

LARGEST_BYTES = 200_000


def enter_files(
    lab: Laboratory, paths: Sequence[Path], *, by: str, at: datetime | None = None
) -> tuple[Done, ...]:
    """Enter several files: every one is read before the first is written.

    Parameters
    ----------
    paths : sequence of Path
        In the order they are entered.

    Raises
    ------
    StillroomError
        One of them cannot be read, and none was entered; or the book refuses one, and the error names those that went
        in before it. What went in already is not entered twice: the same command may be given again.
    """
    for path in paths:
        _read(_bytes_of(path), path.name)
    done: list[Done] = []
    for at_file, path in enumerate(paths):
        try:
            done.append(enter_file(lab, path, by=by, at=at))
        except StillroomError as error:
            if not at_file:
                raise
            went_in = ", ".join(one.name for one in paths[:at_file])
            then = "Then give the same command again: what went in is not entered twice"
            raise type(error)(
                worded("{must}. Entered before it: {went_in}", must=error.must, went_in=went_in),
                error.got,
                f"{error.do}. {then}" if error.do else then,
                where=error.where or path.name,
            ) from error
    return tuple(done)


def enter_file(lab: Laboratory, path: Path, *, by: str, at: datetime | None = None) -> Done:
    """Enter what stands in a YAML file.

    Parameters
    ----------
    path : Path
        A file whose first key is "order", "procedure", "laboratory", "marker", "plant" or "ingredient".

    Raises
    ------
    BadEntry
        The file cannot be read, or an entry in it is not as it must be; file and line are named.
    """
    return enter_text(lab, _bytes_of(path), path.name, by=by, at=at)


def enter_text(lab: Laboratory, data: bytes, name: str, *, by: str, at: datetime | None = None) -> Done:
    """Enter what stands in the text of such a file.

    Parameters
    ----------
    data : bytes
        UTF-8 text.
    name : str
        Name of the file, for errors.
    """
    found = _read(data, name)
    key = f"file {sha256(data).hexdigest()}"
    if isinstance(found, Order):
        return _told(take_order(lab, found, by=by, at=at, request_key=key), name)
    if isinstance(found, Procedure):
        return _told(write_procedure(lab, found, by=by, at=at, request_key=key), name)
    if not isinstance(found, LaboratoryWritten):
        return _told(state(lab, found, by=by, at=at, request_key=key), name)
    done: list[Done] = []
    with lab.look() as look:
        known = {one.code for one in look.people()}
        priced = {(one.of, one.as_written) for one, _ in prices_noted(look)}
    done += [join_person(lab, one, by=by, at=at) for one in found.people if one.code not in known]
    done += [add_apparatus(lab, one, by=by, at=at) for one in found.apparatus]
    done += [
        note_price(lab, one.of, one.as_written, by=by, at=at)
        for one in found.prices
        if (one.of, one.as_written) not in priced
    ]
    standing = last_condition(lab, "altitude")
    if found.altitude_m is not None and (standing is None or standing.value != found.altitude_m):
        done.append(note_condition(lab, "altitude", f"{found.altitude_m:g} m", by=by, at=at))
    if found.described:
        done.append(describe_house(lab, dict(found.described), by=by, at=at))
    numbers = tuple(number for one in done for number in one.entries)
    return Done(numbers, " ".join(one.says for one in done) or "Nothing new.")


def _bytes_of(path: Path) -> bytes:
    if path.stat().st_size > LARGEST_BYTES:
        raise BadEntry(
            "A file of entries is small",
            worded("{path_name}, {st_size} bytes", path_name=path.name, st_size=path.stat().st_size),
            "Split it",
        )
    return path.read_bytes()


def _read(data: bytes, name: str) -> Order | Procedure | OwnThing | LaboratoryWritten:
    """What stands in a file, nothing written yet."""
    kind = _kind_of(data, name)
    if kind == "order":
        return order_from_yaml(data, name)
    if kind in OWN:
        return own_from_yaml(data, name)
    return (
        procedure_from_yaml(data, name) if kind in ("procedure", "code") else laboratory_from_yaml(data, name)
    )


def _told(done: Done, name: str) -> Done:
    return (
        done
        if done.says
        else Done(done.entries, t("{name} stands in the book already; nothing was entered twice.", name=name))
    )


def _kind_of(data: bytes, name: str) -> str:
    for line in data.decode("utf-8", errors="replace").splitlines():
        word = line.partition(":")[0].strip().lower()
        if not word or word.startswith(("#", "---")):
            continue
        if word in ("order", "procedure", "code", "laboratory", *OWN):
            return word
        break
    raise BadEntry(
        "A file begins with 'order:', 'procedure:', 'laboratory:', 'marker:', 'plant:' or 'ingredient:'",
        "something else",
        "Say first what the file is",
        where=name,
    )
