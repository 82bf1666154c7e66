"""What is a traveler made of: lines that many share, and what is one's own?"""

from dataclasses import dataclass
from datetime import date

from travelers.kit.drawing.marks import Look
from travelers.paper.rules import Size
from travelers.routes.rules import Branch, Check, Line


@dataclass(frozen=True, slots=True)
class Tag:
    """A part and the code by which a scan finds it; wood where it is made of some."""

    branch: Branch
    code: str
    link: str
    wood: str = ""
    species: str = ""


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the traveler: an operation, where it is done, what it checks.

    ``turns`` says which of its repeats stand on the line, ``key`` which line it is.
    """

    key: str
    line: Line
    place_code: str
    place: str
    rework: int
    checks: tuple[Check, ...]
    turns: tuple[int, ...]
    after: tuple[tuple[Branch, int], ...]

    @property
    def signs(self) -> tuple[str, ...]:
        return tuple(hazard.sign for hazard in self.line.hazards)


@dataclass(frozen=True, slots=True)
class Section:
    branch: Branch
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class Told:
    """A caution's sentence; of which operations, where others are told otherwise."""

    sentence: str
    where: tuple[tuple[Branch, tuple[int, ...]], ...]

    @property
    def numbers(self) -> tuple[int, ...]:
        return tuple(number for _, numbers in self.where for number in numbers)


@dataclass(frozen=True, slots=True)
class Caution:
    sign: str
    told: tuple[Told, ...]


@dataclass(frozen=True, slots=True)
class RouteSheet:
    """What the instruments of one order share: laid out once for all of them."""

    order: str
    model: str
    shape: str
    finish: str
    note: str
    revision: str
    due_on: date
    quantity: int
    sections: tuple[Section, ...]
    cautions: tuple[Caution, ...]
    size: Size
    language: str

    @property
    def parts(self) -> tuple[Branch, ...]:
        """The branches that travel with a tag of their own, until they are joined."""
        return tuple(branch for branch in Branch if branch is not Branch.ASSEMBLY)


@dataclass(frozen=True, slots=True)
class Dot:
    """A step on the strip: its branch, how it looks, and its name if it is at hand."""

    branch: Branch
    look: Look
    name: str


@dataclass(frozen=True, slots=True)
class Done:
    """On which day each turn of a line was done; none for those still to do."""

    key: str
    days: tuple[date | None, ...]


@dataclass(frozen=True, slots=True)
class Traveler:
    """One instrument's own: serial, place in the order, tags, and how far it is."""

    serial: str
    position: int
    tags: tuple[Tag, ...]
    dots: tuple[Dot, ...]
    done: tuple[Done, ...]
    route: RouteSheet

    @property
    def tag(self) -> Tag:
        """The instrument's own tag is that of the assembly."""
        return next(tag for tag in self.tags if tag.branch is Branch.ASSEMBLY)

    @property
    def parts(self) -> tuple[Tag, ...]:
        return tuple(tag for tag in self.tags if tag.branch is not Branch.ASSEMBLY)
