"""Files a person wrote, entered into the book; what each is, its first key tells."""

from datetime import datetime
from pathlib import Path

from stillroom.actions.defining import add_apparatus, join_person, write_procedure
from stillroom.actions.house_facts import last_condition, note_condition
from stillroom.actions.laboratory import Done, Laboratory
from stillroom.actions.ordering import take_order
from stillroom.actions.own_things import state
from stillroom.actions.pricing import note_price, prices_noted
from stillroom.errors import BadEntry, worded
from stillroom.records.from_yaml import laboratory_from_yaml, order_from_yaml, procedure_from_yaml
from stillroom.records.own_from_yaml import KEYS as OWN
from stillroom.records.own_from_yaml import own_from_yaml

LARGEST_BYTES = 200_000


def enter_file(lab: Laboratory, path: Path, *, by: str, at: datetime | None = None) -> Done:
    """Enter what stands in a YAML file.

    Parameters
    ----------
    lab : Laboratory
    path : Path
        A file whose first key is "order", "procedure", "laboratory", "marker", "plant" or "ingredient".
    by : str
    at : datetime or None

    Raises
    ------
    BadEntry
        The file cannot be read, or an entry in it is not as it must be; file and line are named.
    """
    if path.stat().st_size > LARGEST_BYTES:
        raise BadEntry(
            "A file of entries is small",
            worded("{path_name}, {st_size} bytes", path_name=path.name, st_size=path.stat().st_size),
            "Split it",
        )
    return enter_text(lab, path.read_bytes(), path.name, by=by, at=at)


def enter_text(lab: Laboratory, data: bytes, name: str, *, by: str, at: datetime | None = None) -> Done:
    """Enter what stands in the text of such a file.

    Parameters
    ----------
    lab : Laboratory
    data : bytes
        UTF-8 text.
    name : str
        Name of the file, for errors.
    by : str
    at : datetime or None
    """
    kind = _kind_of(data, name)
    if kind == "order":
        return take_order(lab, order_from_yaml(data, name), by=by, at=at)
    if kind in OWN:
        return state(lab, own_from_yaml(data, name), by=by, at=at)
    if kind in ("procedure", "code"):
        return write_procedure(lab, procedure_from_yaml(data, name), by=by, at=at)
    found = laboratory_from_yaml(data, name)
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
    numbers = tuple(number for one in done for number in one.entries)
    return Done(numbers, " ".join(one.says for one in done) or "Nothing new.")


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
