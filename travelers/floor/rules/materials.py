"""Of which batch is what is used, may it be, and which serial numbers are asked?"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from travelers.floor.rules import reasons
from travelers.formulas import codes
from travelers.kit.refusals import Refusal
from travelers.routes.rules import Need

LONGEST_SERIAL = 24
_SERIAL = re.compile(rf"[0-9A-Z._-]{{3,{LONGEST_SERIAL}}}", re.ASCII)
_BETWEEN = re.compile(r"[\s/\\]+")


@dataclass(frozen=True, slots=True)
class BatchHeld:
    """The oldest open hold on a batch."""

    at: datetime
    by: str
    reason: str


@dataclass(frozen=True, slots=True)
class AtHand:
    """A batch that stands at a station, or was brought there."""

    batch_id: int
    code: str
    number: str
    material_id: int
    material: str
    expires_on: date | None
    held: BatchHeld | None = None

    def fault(self, day: date) -> Refusal | None:
        """Say why nothing is to be made with it on a day."""
        if self.held:
            return reasons.BATCH_HELD.about(
                number=self.number,
                material=self.material,
                held_at=self.held.at.isoformat(),
                person=self.held.by,
                reason=self.held.reason,
            )
        if self.is_over(day):
            return reasons.BATCH_EXPIRED.about(
                number=self.number,
                material=self.material,
                day=self.expires_on.isoformat() if self.expires_on else "",
            )
        return None

    def is_over(self, day: date) -> bool:
        """Say whether it was good until a day before this one."""
        return self.expires_on is not None and self.expires_on < day


def batch_faults(
    needs: Iterable[Need], at_hand: Mapping[int, AtHand], *, day: date
) -> tuple[Refusal, ...]:
    """Say what stands against the batches that an operation would use.

    ``at_hand`` maps materials to the batch that is at hand.
    """
    needs = tuple(needs)
    lacking = [need.material for need in needs if need.material_id not in at_hand]
    faults = [
        fault
        for need in needs
        if (batch := at_hand.get(need.material_id)) and (fault := batch.fault(day))
    ]
    if lacking:
        missing = reasons.BATCH_MISSING.about(materials=", ".join(lacking))
        return (missing, *faults)
    return tuple(faults)


def other_material(
    brought: AtHand, needs: Iterable[Need], operation: str
) -> Refusal | None:
    """Say that an operation does not use what was scanned; None where it uses it.

    What uses nothing of a batch does not mind which one is at hand.
    """
    wanted = {need.material_id: need.material for need in needs}
    if not wanted or brought.material_id in wanted:
        return None
    return reasons.BATCH_OTHER_MATERIAL.about(
        number=brought.number,
        material=brought.material,
        operation=operation,
        wanted=", ".join(wanted.values()),
    )


def used_of(
    needs: Iterable[Need], at_hand: Mapping[int, AtHand]
) -> list[dict[str, object]]:
    """Say for the ledger which batches an operation used."""
    return [
        {"need": need.id, "batch": at_hand[need.material_id].batch_id, "serial": ""}
        for need in needs
        if need.material_id in at_hand
    ]


def read_serial(text: str) -> str | Refusal:
    """Give a maker's serial number as it is kept: capitals, no spaces or slashes."""
    serial = _BETWEEN.sub("-", text.strip()).upper()
    if _SERIAL.fullmatch(serial) and not is_own(text):
        return serial
    shown = " ".join(text.split())
    return reasons.SERIAL_UNREAD.about(
        typed=shown if len(shown) <= LONGEST_SERIAL else f"{shown[:LONGEST_SERIAL]}…"
    )


def is_own(text: str) -> bool:
    """Say whether a scan is one of the shop's own tags, and no maker's number."""
    try:
        codes.parse(text)
    except codes.NotACode:
        return False
    return True


def open_need(needs: Iterable[Need], taken: Mapping[int, Iterable[str]]) -> Need | None:
    """Give what lacks a serial number first."""
    return next((need for need in needs if lacking(need, taken.get(need.id, ()))), None)


def lacking(need: Need, taken: Iterable[str]) -> int:
    """Say how many serial numbers are still to be scanned."""
    return max(0, need.pieces - len(set(taken)))
