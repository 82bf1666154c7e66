"""What is known of the floor?"""

from travelers.floor.queries.benches import (
    bench_of,
    closed_step,
    find_bench,
    find_place,
    held_of,
    known_events,
    mates_of,
    notes_of,
    steps_by_id,
)

__all__ = [
    "bench_of",
    "closed_step",
    "find_bench",
    "find_place",
    "held_of",
    "known_events",
    "mates_of",
    "notes_of",
    "steps_by_id",
]
