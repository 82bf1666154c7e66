"""How is a hot query asked without being written anew each time?"""

from collections.abc import Callable, Iterator
from typing import Any

from django.db import connection
from django.db.models import QuerySet


class Prepared:
    """A ``values_list`` query whose SQL is made once for each database.

    Django builds the SQL of a query each time it is asked, which takes several
    times longer than the database needs to answer.  ``build`` is called once with
    a marker for each of its arguments; later calls only put values where the
    markers stood.  The arguments must reach the SQL as they are: compare with a
    plain column, not with an expression that changes them.

    >>> steps = Prepared(
    ...     lambda instrument_id: Step.objects.filter(
    ...         instrument_id=instrument_id
    ...     ).values_list("id", "state"),
    ...     instrument_id=int,
    ... )  # doctest: +SKIP
    >>> steps(instrument_id=7)  # doctest: +SKIP
    """

    def __init__(self, build: Callable[..., QuerySet[Any, Any]], **kinds: type) -> None:
        self.build = build
        self.markers = {
            name: MARKERS[kind](place)
            for place, (name, kind) in enumerate(kinds.items())
        }
        self.made: dict[str, Callable[[dict[str, Any]], list[tuple[Any, ...]]]] = {}

    def __call__(self, **values: Any) -> list[tuple[Any, ...]]:
        vendor = connection.vendor
        if vendor not in self.made:
            self.made[vendor] = self._make()
        return self.made[vendor](values)

    def _make(self) -> Callable[[dict[str, Any]], list[tuple[Any, ...]]]:
        query = self.build(**self.markers).query
        compiler = query.get_compiler(connection=connection)
        sql, parameters = compiler.as_sql()
        names = {marker: name for name, marker in self.markers.items()}
        slots = [names.get(_plain(value)) for value in parameters]
        missing = set(self.markers) - set(slots)
        if missing:
            raise ValueError(f"{sorted(missing)} did not reach the SQL as they are")
        converters = compiler.get_converters([row[0] for row in compiler.select])

        def ask(values: dict[str, Any]) -> list[tuple[Any, ...]]:
            filled = [
                given if slot is None else values[slot]
                for slot, given in zip(slots, parameters, strict=True)
            ]
            with connection.cursor() as cursor:
                cursor.execute(sql, filled)
                rows: Iterator[Any] = iter(cursor.fetchall())
            if converters:
                rows = compiler.apply_converters(rows, converters)
            return [tuple(row) for row in rows]

        return ask


def _plain(value: Any) -> Any:
    return value if isinstance(value, str | int) else str(value)


# Values that stand nowhere else in a query.
MARKERS: dict[type, Callable[[int], Any]] = {
    int: lambda place: 2_000_000_000 - place,
    str: lambda place: f"\u2042{place}",
}
