"""Whether the room is warmer than the flash point of what is to be filled, said before anybody opens it."""

from dataclasses import dataclass

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.house.house_facts import condition_of
from stillroom.actions.releasing.certifying import flash_of_batch
from stillroom.evidence.answer import Answer
from stillroom.planning.house_said import condition_from_text

ROOM = "room temperature"
FLASH_IS_WITHIN_C = 3.0
"""A flash point read between published rows may be off by this much. [°C]"""


@dataclass(frozen=True, slots=True)
class RoomAndFlash:
    """The room beside the flash point of a batch."""

    flash: Answer | None
    """None where too little spirit is known to be in it. [°C]"""
    room_c: float | None
    """As read now, or as noted last; None where nobody has looked. [°C]"""
    says: str
    """Both in a sentence."""
    offered: str
    """When the room was read last, in words."""

    @property
    def is_warm(self) -> bool:
        """Whether the room is, or may be, warmer than the flash point."""
        if self.flash is None or self.room_c is None:
            return False
        return self.room_c >= self.flash.value - FLASH_IS_WITHIN_C


def room_and_flash(lab: Laboratory, batch: str, room: str = "") -> RoomAndFlash:
    """The room beside the flash point of what was weighed into a batch.

    Parameters
    ----------
    room : str
        As read now, "31 °C"; what was noted last when empty. Nothing is ever filled in.

    Raises
    ------
    BadEntry
        It is no temperature, or none of a room.
    """
    with lab.look() as look:
        flash = flash_of_batch(look, batch)
        last = condition_of(look, ROOM)
    if flash is None:
        return RoomAndFlash(None, None, "", "")
    room_c = condition_from_text(ROOM, room) if room else (last.value if last else None)
    offered = f"Last: {last.as_written}, {last.age(lab.clock())}" if last else "Nobody has noted it yet"
    says = f"The flash point is near {flash.value:.0f} °C, about {FLASH_IS_WITHIN_C:g} °C either way."
    if room_c is not None:
        told = "now" if room or last is None else last.age(lab.clock())
        says = f"The room is at {room_c:g} °C ({told}). {says}"
    return RoomAndFlash(flash, room_c, says, offered)
