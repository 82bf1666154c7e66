"""What do the boxes of a traveler's grid say, line by line and branch by branch?"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.utils.translation import gettext

from travelers.floor import queries as on_floor
from travelers.floor.forms import read_code, without_nul
from travelers.floor.rules import Wish
from travelers.floor.rules.typed import Unclear, original_of, value_of
from travelers.formulas import codes
from travelers.kit.refusals import Refusal
from travelers.kit.words import label
from travelers.paper.queries import Choice, PaperBranch, PaperLine, PaperSheet
from travelers.paper.rules import written
from travelers.paper.rules.deeds import WITH_BATCHES, Deed
from travelers.paper.rules.written import Setting, Which
from travelers.quality.rules import KIND_NOT_HERE, Severity
from travelers.routes.rules import Branch, Check

LONGEST = 200


@dataclass(slots=True)
class Read:
    """The deeds that can be recorded, those that wait, and faults by their box."""

    deeds: list[Deed] = field(default_factory=list)
    waiting: list[Deed] = field(default_factory=list)
    faults: dict[str, Refusal] = field(default_factory=dict)
    asks: dict[str, tuple[Choice, ...]] = field(default_factory=dict)


def text_of(given: Mapping[str, str], name: str) -> str:
    return without_nul(given.get(name, ""))[:LONGEST].strip()


def read_sheet(
    given: Mapping[str, str], sheet: PaperSheet, *, setting: Setting
) -> Read:
    """Read all boxes; a fault holds back what follows in its branch, no more."""
    read = Read()
    for part in sheet.branches:
        _Branch(given, sheet, setting, read, part.branch).read(part)
    return read


class _Branch:
    """Reads one branch from its first line to its last."""

    def __init__(
        self,
        given: Mapping[str, str],
        sheet: PaperSheet,
        setting: Setting,
        read: Read,
        branch: Branch,
    ) -> None:
        self.given, self.sheet, self.setting = given, sheet, setting
        self.into, self.rank = read, list(Branch).index(branch)
        self.above: datetime | None = None
        self.broken = False

    def read(self, part: PaperBranch) -> None:
        for line in part.lines:
            self.above = line.last_at or self.above
            if line.is_open:
                self._line(line)

    def _text(self, what: str, line: PaperLine, *more: object) -> str:
        return text_of(self.given, name_of(what, line, *more))

    def _fault(self, name: str, refusal: Refusal) -> None:
        self.into.faults[name] = refusal
        self.broken = True

    def _line(self, line: PaperLine) -> None:
        begun: tuple[datetime, int] | None = None
        for wish in line.asked:
            notes = wish is line.closing
            done = self._when_and_who(line, wish, needed=notes and self._notes(line))
            if done is None:
                continue
            if wish is Wish.START:
                begun = done
            if notes and Wish.START in line.asked and begun is None:
                said = {"begun": "NOT_WRITTEN"} | self._batches(line)
                self._add(line, Wish.START, done, said)
            if notes:
                self._note(line, done)
            told = self._batches(line) if wish in WITH_BATCHES else {}
            self._add(line, wish, done, told)

    def _notes(self, line: PaperLine) -> bool:
        """Say whether anything but times and initials stands in the line."""
        boxes = tuple(f"{what}-{line.step.id}-" for what in ("value", "mate", "serial"))
        return bool(self._text("defect", line, "is")) or any(
            name.startswith(boxes) and text_of(self.given, name) for name in self.given
        )

    def _when_and_who(
        self, line: PaperLine, wish: Wish, *, needed: bool
    ) -> tuple[datetime, int] | None:
        typed, by = self._text("at", line, wish), self._text("by", line, wish)
        if not typed:
            if by or needed:
                self._fault(name_of("at", line, wish), written.TIME_MISSING)
            return None
        at = written.read_moment(
            typed,
            setting=self.setting,
            above=self.above,
            which=self._text("which", line, wish),
        )
        person = self._person(line, wish)
        if isinstance(at, Refusal):
            name = name_of("at", line, wish)
            self._fault(name, at)
            if at.code == written.TWICE.code:
                self.into.asks[name] = tuple(Choice(one, label(one)) for one in Which)
            return None
        self.above = at
        return (at, person) if person else None

    def _person(self, line: PaperLine, wish: Wish) -> int | None:
        """Find whose the initials are; one pair of a line does for the whole line."""
        own = self._text("by", line, wish)
        others = (self._text("by", line, other) for other in line.asked)
        typed = own or next(filter(None, others), "")
        person = self.sheet.people.get(typed.upper())
        if person is not None:
            return person.pk
        known = [(one, str(who)) for one, who in self.sheet.people.items()]
        refusal = written.INITIALS_MISSING
        if typed:
            refusal = written.no_such_initials(typed, known)
        self._fault(name_of("by", line, wish), refusal)
        return None

    def _note(self, line: PaperLine, done: tuple[datetime, int]) -> None:
        """Read what was noted at the end of a line: mates, values, a defect."""
        for code in self._mates(line):
            self._add(line, Wish.MATE, done, {"mate": code})
        for number, _ in enumerate(line.serials):
            if serial := self._text("serial", line, number):
                self._add(line, Wish.USE, done, {"serial": serial})
        if readings := list(self._readings(line)):
            self._add(line, Wish.READ, done, {"readings": readings})
        if defect := self._defect(line):
            self._add(line, Wish.DEFECT, done, defect)

    def _mates(self, line: PaperLine) -> Iterator[str]:
        for number, _ in enumerate(line.mates):
            if text := self._text("mate", line, number):
                try:
                    codes.parse(text)
                except codes.NotACode:
                    refusal = on_floor.unread(text=text).refusal
                    self._fault(name_of("mate", line, number), refusal)
                yield read_code(text)

    def _batches(self, line: PaperLine) -> dict[str, str]:
        """Name the batches that were chosen; the others are what stood there then."""
        chosen = [
            one.value
            for number, choices in enumerate(line.batches.values())
            for one in choices
            if one.value == self._text("batch", line, number)
        ]
        return {"batches": ",".join(chosen)} if chosen else {}

    def _readings(self, line: PaperLine) -> Iterator[dict[str, Any]]:
        for check in line.checks:
            gauge = self._text("gauge", line, check.gauge_kind)
            for place in range(1, check.places + 1):
                text = self._text("value", line, check.id, place)
                if not text:
                    continue
                value = self._value(line, check, place, text)
                if value:
                    read = original_of(text, check)
                    yield {
                        "check": check.id,
                        "place": place,
                        "value": value,
                        "gauge": _number(gauge),
                        **({"read": read} if read else {}),
                    }

    def _value(self, line: PaperLine, check: Check, place: int, text: str) -> str:
        """Read a value as at the bench; a doubt is asked, and its answer heeded."""
        name = name_of("value", line, check.id, place)
        about, _, sure = self._text("sure", line, check.id, place).rpartition("|")
        sure = sure if about == text else ""
        read = value_of(sure or text, check, confirmed=sure)
        if not isinstance(read, Unclear):
            return f"{read:f}"
        self._fault(name, read.refusal)
        if read.likely is not None and read.value is not None:
            said = gettext("It is {value} {unit}")
            same = gettext("It is {value} {unit} all the same")
            self.into.asks[name] = tuple(
                Choice(
                    f"{text}|{one:f}", words.format(value=f"{one:f}", unit=check.unit)
                )
                for one, words in ((read.likely, said), (read.value, same))
            )
        return ""

    def _defect(self, line: PaperLine) -> dict[str, Any] | None:
        if not self._text("defect", line, "is"):
            return None
        kind = self._text("defect", line, "kind")
        if kind not in {known.value for known in line.kinds}:
            self._fault(name_of("defect", line, "kind"), KIND_NOT_HERE)
            return None
        severity = self._text("defect", line, "severity")
        return {
            "kind": kind,
            "severity": severity if severity in list(Severity) else Severity.MAJOR,
            "note": self._text("defect", line, "note"),
        }

    def _add(
        self,
        line: PaperLine,
        wish: Wish,
        done: tuple[datetime, int],
        said: Mapping[str, Any],
    ) -> None:
        at, person_id = done
        deed = Deed(
            line.step.id,
            line.branch,
            (self.rank, line.order),
            wish,
            at,
            person_id,
            line.station or self._station(line),
            said,
        )
        (self.into.waiting if self.broken else self.into.deeds).append(deed)

    def _station(self, line: PaperLine) -> str:
        chosen = self._text("station", line, "is")
        known = [one.value for one in line.stations]
        return chosen if chosen in known else ""


def _number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 19 else None


def name_of(what: str, line: PaperLine, *more: object) -> str:
    """Name a box by what it asks, of which step, and which of several."""
    return "-".join(map(str, (what, line.step.id, *more)))
