"""Which instruments met a candidate, and which candidates met just the same ones?"""

from collections.abc import Collection, Hashable, Mapping
from typing import Any


def marked(groups: Mapping[Any, Collection[int]], count: int) -> Any:
    """Mark the members of each candidate."""
    import numpy as np

    inside = np.zeros((len(groups), count), dtype=bool)
    for row, (candidate, members) in zip(inside, groups.items(), strict=True):
        places = np.array(list(members))
        if not places.size:
            continue
        if (
            places.dtype.kind not in "iu"
            or not 0 <= places.min() <= places.max() < count
        ):
            raise ValueError(
                f"groups must hold places from 0 to {count - 1}, got "
                f"{list(members)!r} for {candidate!r}"
            )
        row[places] = True
    return inside


def split_by(inside: Any, strata: Any) -> Any:
    """Say which candidates were met by some of a stratum and not by all of it."""
    import numpy as np

    told = np.zeros(len(inside), dtype=bool)
    for kind in np.unique(strata).tolist():
        within = inside[:, strata == kind]
        told |= within.any(axis=1) & ~within.all(axis=1)
    return told


def put_together(
    names: list[Hashable], inside: Any, tested: Any, parents: Mapping[Any, Any]
) -> list[list[int]]:
    """Put candidates of the same members together, the narrowest first."""
    import numpy as np

    place = {name: at for at, name in enumerate(names)}
    for child, parent in parents.items():
        if child in place and parent in place:
            outside = inside[place[child]] & ~inside[place[parent]]
            if outside.any():
                raise ValueError(
                    f"parents must hold all that lies in them, got {child!r} in "
                    f"{parent!r} without {np.flatnonzero(outside).tolist()!r}"
                )
    alike: dict[bytes, list[int]] = {}
    packed = np.packbits(inside, axis=1)
    for at in np.flatnonzero(tested).tolist():
        alike.setdefault(packed[at].tobytes(), []).append(at)
    return [
        sorted(places, key=lambda at: -_depth(names[at], parents))
        for places in alike.values()
    ]


def _depth(name: Hashable, parents: Mapping[Any, Any]) -> int:
    seen = {name}
    while (name := parents.get(name)) is not None and name not in seen:
        seen.add(name)
    return len(seen)
