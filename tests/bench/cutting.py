"""Is a plank of a shop planned, both orders tried, within 200 ms?"""

import time

from tests.bench.ground import say
from tests.bench.table import row
from travelers.formulas.cutting import Part, Plank, plan

WIDE, NARROW = Plank(4800, 600, 52, 5, 25), Plank(4100, 195, 55, 5, 25)
TWO_BODY, THREE_BODY = (2, 520, 180, 50), (3, 500, 135, 50)
NECK, SCARFED = (1, 700, 100, 25), (2, 740, 50, 44)
CASES: dict[str, tuple[Plank, list[Part]]] = {
    "one model, as many as there are": (NARROW, [Part("a", *THREE_BODY)]),
    "three bodies, necks fill": (
        NARROW,
        [Part("a", *THREE_BODY, 3), Part("b", *SCARFED)],
    ),
    "two kinds fill a wide plank": (WIDE, [Part("a", *TWO_BODY), Part("b", *NECK)]),
    "three kinds fill a wide plank": (
        WIDE,
        [Part("a", *TWO_BODY), Part("b", *NECK), Part("c", *SCARFED)],
    ),
    "four kinds counted, up to 20": (
        WIDE,
        [
            Part("a", *TWO_BODY, 6),
            Part("b", *NECK, 20),
            Part("c", *SCARFED, 10),
            Part("d", *THREE_BODY, 6),
        ],
    ),
    "five kinds of four": (
        WIDE,
        [
            Part("a", *TWO_BODY, 4),
            Part("b", *NECK, 4),
            Part("c", *SCARFED, 4),
            Part("d", *THREE_BODY, 4),
            Part("e", 1, 650, 80, 25, 4),
        ],
    ),
}


def main() -> None:
    for name, (plank, parts) in CASES.items():
        found, taken = plan(plank, parts, 3), []
        for _ in range(5):
            begun = time.perf_counter()
            plan(plank, parts, 3)
            taken.append(time.perf_counter() - begun)
        say(f"{name}: {found.sets}")
        row(f"a plank cut for {name}", 1000 * min(taken), "ms", at_most=200)


if __name__ == "__main__":
    main()
