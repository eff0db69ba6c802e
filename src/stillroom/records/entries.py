"""What can be written in the book: one frozen body per kind of entry.

``KINDS`` names them all. ``entry_json`` turns a body into JSON and back; a body that changes its shape gets a new
version and a reader for the old one, kept for ever (``OLDER``). ``entry_subjects`` says what an entry speaks of.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Generic, Literal, TypeAlias

from stillroom.quantities.content import Content, content_of
from stillroom.records.answer_entries import AnswerKept as AnswerKept
from stillroom.records.answer_entries import LeftUnsaid as LeftUnsaid
from stillroom.records.batch_entries import BatchBegun as BatchBegun
from stillroom.records.batch_entries import BatchGivenUp as BatchGivenUp
from stillroom.records.batch_entries import DeviationNoted as DeviationNoted
from stillroom.records.day_entries import BenchNoted as BenchNoted
from stillroom.records.day_entries import DayPlanned as DayPlanned
from stillroom.records.house_entries import CeilingStated as CeilingStated
from stillroom.records.house_entries import ConditionNoted as ConditionNoted
from stillroom.records.house_entries import DutiesGiven as DutiesGiven
from stillroom.records.house_entries import HouseDescribed as HouseDescribed
from stillroom.records.house_entries import IngredientStated as IngredientStated
from stillroom.records.house_entries import MarkerStated as MarkerStated
from stillroom.records.house_entries import PlantStated as PlantStated
from stillroom.records.house_entries import PriceNoted as PriceNoted
from stillroom.records.lots import Lot, Movement
from stillroom.records.offer_entries import GoodsOrdered as GoodsOrdered
from stillroom.records.offer_entries import OfferEnded as OfferEnded
from stillroom.records.offer_entries import OfferMade as OfferMade
from stillroom.records.orders import Order
from stillroom.records.people import Apparatus, Person
from stillroom.records.plan_entries import PlanMade as PlanMade
from stillroom.records.plant_entries import IdentityDecided as IdentityDecided
from stillroom.records.plant_entries import PlantDescribed as PlantDescribed
from stillroom.records.procedures import Procedure
from stillroom.records.reagent_entries import LotOpened as LotOpened
from stillroom.records.reagent_entries import ReagentAllowed as ReagentAllowed
from stillroom.records.release_entries import CertificateIssued as CertificateIssued
from stillroom.records.release_entries import ComplaintHeard as ComplaintHeard
from stillroom.records.release_entries import EvidenceShown as EvidenceShown
from stillroom.records.release_entries import LineDecided as LineDecided
from stillroom.records.release_entries import PeopleTold as PeopleTold
from stillroom.records.release_entries import RecallRehearsed as RecallRehearsed
from stillroom.records.release_entries import StatusDecided as StatusDecided

if TYPE_CHECKING:
    from typing_extensions import TypeVar
else:
    from typing import TypeVar


@dataclass(frozen=True, slots=True)
class BookBegun:
    """The first entry of every book."""

    book_id: str
    epoch: int
    laboratory: str
    practice: bool
    altitude_m: float | None = None


@dataclass(frozen=True, slots=True)
class BookRestored:
    """The book goes on from a copy; an entry after ``from_digest`` under an older epoch belongs to a fork."""

    book_id: str
    epoch: int
    from_digest: str


@dataclass(frozen=True, slots=True)
class PersonJoined:
    """Somebody signs from now on."""

    person: Person


@dataclass(frozen=True, slots=True)
class ApparatusAdded:
    """A scale, measure or thermometer is in use."""

    apparatus: Apparatus


@dataclass(frozen=True, slots=True)
class ProcedureWritten:
    """A procedure, or a new version of one."""

    procedure: Procedure


@dataclass(frozen=True, slots=True)
class OrderTaken:
    """A customer's order."""

    order: Order


@dataclass(frozen=True, slots=True)
class LotReceived:
    """An amount came in, of ``goods`` that were ordered; measured by volume its mass is calculated, with its doubt."""

    lot: Lot
    movements: tuple[Movement, ...]
    as_written: str = ""
    apparatus: str = ""
    mass_standard_uncertainty_g: float | None = None
    goods: str = ""


@dataclass(frozen=True, slots=True)
class ReadingTaken:
    """One number read off an instrument. ``series`` groups readings of one determination ("drying/1")."""

    subject: str
    what: str
    value: float
    unit: str
    as_written: str
    apparatus: str = ""
    series: str = ""
    standard_uncertainty: float | None = None


@dataclass(frozen=True, slots=True)
class ResultReckoned:
    """A result with its whole trail. ``counts`` is False where controls, dates or constancy do not allow it."""

    subject: str
    what: str
    value: float
    unit: str
    basis: str
    standard_uncertainty: float | None
    coverage_factor: float | None
    method: str
    counts: bool
    because: str
    trail: dict[str, Any]
    readings: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class ControlTestRead:
    """A present-or-absent test with its controls, as seen; the outcome is reckoned from them."""

    subject: str
    test: str
    reagent_lot: str
    sample: str
    blank: str
    positive_control: str
    outcome: Literal["present", "absent", "unclear", "no result"]
    because: str


@dataclass(frozen=True, slots=True)
class Weighing:
    """One line weighed at a step; ``direction`` is seen from the batch, "within" goes on to a later step."""

    line: str
    direction: Literal["in", "out", "within"]
    lot: str
    planned_g: float | None
    actual_g: float
    as_written: str
    apparatus: str


@dataclass(frozen=True, slots=True)
class StepDone:
    """A step of a batch as it was done, in apparatus as far as noted; ``not_done``: left out, or entered by mistake."""

    batch: str
    step: str
    weighings: tuple[Weighing, ...]
    movements: tuple[Movement, ...]
    ticks: tuple[str, ...] = ()
    temperature_c: float | None = None
    note: str = ""
    lots_made: tuple[Lot, ...] = ()
    not_done: bool = False
    ran_in: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class OutageNoted:
    """Water or power went off, or came back, for every batch in hand; ``steps`` names the step each stood at."""

    what: Literal["water", "power", "water and power"]
    is_back: bool
    batches: tuple[str, ...]
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DoseDecided:
    """How many grams of which extract go into which bulk, with the trail."""

    batch: str
    extract_lot: str
    bulk_g: float
    mass_g: float
    trail: dict[str, Any]
    readings: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class UnitsFilled:
    """A product lot filled by mass into bottles, each of ``nominal_ml`` or ``nominal_g``.

    Both are 0 in books that took it from the order alone.
    """

    batch: str
    lot: Lot
    units: int
    filled_g: float
    target_g: float
    left_over_g: float
    movements: tuple[Movement, ...]
    check_weights_g: tuple[float, ...] = ()
    apparatus: str = ""
    nominal_ml: float = 0.0
    nominal_g: float = 0.0

    @property
    def each(self) -> Content:
        """What each bottle, tube or tin holds; nothing where the order alone says it."""
        return content_of(self.nominal_ml, self.nominal_g)


@dataclass(frozen=True, slots=True)
class Moved:
    """Lots leave for a customer, are kept back, are thrown away, come back."""

    movements: tuple[Movement, ...]
    why: str
    order: str = ""


@dataclass(frozen=True, slots=True)
class StockCounted:
    """What really stands on the shelf, beside what the book says. It moves nothing."""

    lot: str
    found: int
    counted_in: Literal["ug", "piece"]
    as_written: str
    apparatus: str = ""


Body: TypeAlias = (
    BookBegun
    | BookRestored
    | PersonJoined
    | ApparatusAdded
    | ProcedureWritten
    | OrderTaken
    | PlanMade
    | LotReceived
    | IdentityDecided
    | ReadingTaken
    | ResultReckoned
    | ControlTestRead
    | StatusDecided
    | BatchBegun
    | BatchGivenUp
    | StepDone
    | DeviationNoted
    | CeilingStated
    | OutageNoted
    | ConditionNoted
    | PriceNoted
    | DoseDecided
    | UnitsFilled
    | Moved
    | StockCounted
    | AnswerKept
    | LotOpened
    | ReagentAllowed
    | MarkerStated
    | PlantStated
    | PlantDescribed
    | IngredientStated
    | HouseDescribed
    | LineDecided
    | EvidenceShown
    | CertificateIssued
    | PeopleTold
    | ComplaintHeard
    | RecallRehearsed
    | DayPlanned
    | BenchNoted
    | OfferMade
    | OfferEnded
    | GoodsOrdered
    | DutiesGiven
)

KINDS: dict[str, type[Body]] = {
    "book begun": BookBegun,
    "book restored": BookRestored,
    "person joined": PersonJoined,
    "apparatus added": ApparatusAdded,
    "procedure written": ProcedureWritten,
    "order taken": OrderTaken,
    "plan made": PlanMade,
    "lot received": LotReceived,
    "identity decided": IdentityDecided,
    "reading taken": ReadingTaken,
    "result reckoned": ResultReckoned,
    "control test read": ControlTestRead,
    "status decided": StatusDecided,
    "batch begun": BatchBegun,
    "batch given up": BatchGivenUp,
    "step done": StepDone,
    "deviation noted": DeviationNoted,
    "ceiling stated": CeilingStated,
    "outage noted": OutageNoted,
    "condition noted": ConditionNoted,
    "price noted": PriceNoted,
    "dose decided": DoseDecided,
    "units filled": UnitsFilled,
    "moved": Moved,
    "stock counted": StockCounted,
    "answer kept": AnswerKept,
    "lot opened": LotOpened,
    "reagent allowed": ReagentAllowed,
    "marker stated": MarkerStated,
    "plant stated": PlantStated,
    "plant described": PlantDescribed,
    "ingredient stated": IngredientStated,
    "house described": HouseDescribed,
    "line decided": LineDecided,
    "evidence shown": EvidenceShown,
    "certificate issued": CertificateIssued,
    "people told": PeopleTold,
    "complaint heard": ComplaintHeard,
    "recall rehearsed": RecallRehearsed,
    "duties given": DutiesGiven,
    "day planned": DayPlanned,
    "bench noted": BenchNoted,
    "offer made": OfferMade,
    "offer ended": OfferEnded,
    "goods ordered": GoodsOrdered,
}
KIND_OF: dict[type[Body], str] = {body: kind for kind, body in KINDS.items()}
VERSION: dict[str, int] = dict.fromkeys(KINDS, 1)
OLDER: dict[tuple[str, int], Callable[[Mapping[str, Any]], Mapping[str, Any]]] = {}

if TYPE_CHECKING:
    AnyBody = TypeVar("AnyBody", bound=Body, covariant=True, default=Body)
else:
    AnyBody = TypeVar("AnyBody", covariant=True)


@dataclass(frozen=True, slots=True)
class Entry(Generic[AnyBody]):
    """One entry of the journal; ``Entry[ReadingTaken]`` where the kind of its body is known.

    ``done_at``, ``entered_at``: ISO times with offset: when it was done, when it was written down.
    """

    entry_no: int
    kind: str
    version: int
    by: str
    """Code of the person."""
    done_at: str
    entered_at: str
    why: str
    """Reason, always given for a correction."""
    corrects: int | None
    """Number of the entry it replaces."""
    body: AnyBody
    attachments: tuple[str, ...] = ()
    """Seals of files beside the book."""
    corrected_by: int | None = None
    """Number of the entry that replaced this one; filled in on reading."""
    doubt: str = ""
    """Why its times could not be, where whoever wrote it said that they are right; "" where nobody had to."""
