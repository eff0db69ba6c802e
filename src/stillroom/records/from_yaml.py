"""The doors between the files a person writes and the records of the laboratory.

Each reads a whole text, tells everything that is wrong with it at once with file and line, and gives a record
or nothing. Written back, a record gives a text that reads as the same record.
"""

from stillroom.records.laboratory import Laboratory, Price
from stillroom.records.laboratory_from_yaml import laboratory_from_yaml
from stillroom.records.order_from_yaml import order_from_fields, order_from_yaml, stated_strength
from stillroom.records.procedure_from_yaml import procedure_from_yaml
from stillroom.records.sections import SeveralBadEntries
from stillroom.records.to_yaml import order_to_yaml, procedure_to_yaml

__all__ = [
    "Laboratory",
    "Price",
    "SeveralBadEntries",
    "laboratory_from_yaml",
    "order_from_fields",
    "order_from_yaml",
    "order_to_yaml",
    "procedure_from_yaml",
    "procedure_to_yaml",
    "stated_strength",
]
