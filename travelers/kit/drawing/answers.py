"""Which shape answers a scan: accepted, refused, or needs a look?"""

from enum import StrEnum
from functools import cache

from travelers.kit.drawing.pen import tag


class Answer(StrEnum):
    ACCEPTED = "accepted"
    REFUSED = "refused"
    LOOK = "look"


# Three outlines (disc, octagon, diamond) and three inner marks (tick, bar, question
# mark): each alone tells them apart.
_OUTER = {
    Answer.ACCEPTED: "M50 4a46 46 0 1 0 .01 0z",
    Answer.REFUSED: "M31 4H69L96 31V69L69 96H31L4 69V31z",
    Answer.LOOK: "M50 1L99 50L50 99L1 50z",
}
_INNER = {
    Answer.ACCEPTED: "M23 51L32 42L44 54L69 29L78 38L44 72z",
    Answer.REFUSED: "M20 41H80V59H20z",
    Answer.LOOK: (
        "M35 42C35 32 42 26 51 26S67 32 67 41C67 48 63 52 58 55C55 57 55 58 55 62H45"
        "C45 54 47 51 52 48C55 46 57 44 57 41C57 37 54 35 51 35S45 37 45 42z"
        "M45 67H55V77H45z"
    ),
}


@cache
def answer_shape(answer: Answer | str, *, size: float = 64) -> str:
    """Draw the shape; it stands beside its word, so it is silent."""
    kind = Answer(answer)
    return tag(
        "svg",
        tag("path", d=_OUTER[kind] + _INNER[kind], fill_rule="evenodd"),
        xmlns="http://www.w3.org/2000/svg",
        viewBox="0 0 100 100",
        width=size,
        height=size,
        class_=f"answer-shape answer-shape-{kind.value}",
        aria_hidden="true",
    )
