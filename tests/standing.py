"""How do many tests begin with the same shop, which is built but once for them?

A shop is built under a savepoint before the test that asks for it, and stays while the
next tests ask for the same. Each takes back what it did to the rows, as tests with the
mark ``django_db`` do, and has objects of its own. Whoever does not ask finds nothing.
"""

import pickle
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

import pytest
from django.db import connection, transaction

from tests import forget, make


@dataclass(frozen=True)
class Plan:
    """Which shop stands, and what more is built in it."""

    uses: bool = False
    more: Callable[[make.Shop], Any] | None = None

    def build(self) -> "World":
        shop = make.shop(uses=self.uses)
        return World(shop, self.more(shop) if self.more else None)


@dataclass(frozen=True)
class World:
    shop: make.Shop
    more: Any


def shop_of(plan: Plan, name: str) -> Any:
    """Make the fixture that gives the shop of a plan."""

    def given(_world: World) -> make.Shop:
        return _world.shop

    given.plan = plan  # type: ignore[attr-defined]
    return pytest.fixture(name=name)(given)


def kept(more: Callable[[make.Shop], Any]) -> Any:
    """Make a fixture of what more is built in the shop: once, and for each a copy.

    A test asks for one such fixture at the most. Which shop it is says the fixture
    ``shop`` where it is asked.
    """

    def given(_world: World, shop: make.Shop) -> Any:
        return _world.more

    given.plan = Plan(more=more)  # type: ignore[attr-defined]
    return pytest.fixture(name=more.__name__)(given)


@dataclass
class Ground:
    """What stands in the tests' database between two tests."""

    # Lets the database be asked, once there is one.
    blocker: Any = None
    plan: Plan | None = None
    pickled: bytes = b""
    atomic: Any = None
    # Modules that build something of their own which outlives a test.
    own: set[Any] = field(default_factory=set)

    def look_at(self, tests: Iterable[Any]) -> None:
        self.own |= {getattr(test, "module", None) for test in tests if _builds(test)}

    def prepare(self, test: Any) -> None:
        """Build what a test asks for, unless it stands already; else clear away."""
        wanted = plan_of(test)
        if _commits(test) or getattr(test, "module", None) in self.own:
            wanted = None
        if wanted == self.plan or not self.blocker:
            return
        self.clear()
        if wanted:
            self._build(wanted)

    def _build(self, wanted: Plan) -> None:
        forget.routes()
        with self.blocker.unblock():
            self.atomic = transaction.atomic()
            self.atomic.__enter__()
            try:
                self.pickled = pickle.dumps(wanted.build())
            except BaseException:
                self.clear()
                raise
        self.plan = wanted

    def clear(self) -> None:
        if self.atomic:
            with self.blocker.unblock():
                connection.needs_rollback = True
                self.atomic.__exit__(None, None, None)
        self.atomic, self.plan = None, None

    def world_of(self, test: Any) -> World:
        """Give a copy of what stands; where nothing can, the test has its own built."""
        wanted = plan_of(test)
        assert wanted
        if wanted != self.plan:
            return wanted.build()
        found: World = pickle.loads(self.pickled)  # noqa: S301
        return found


def plan_of(test: Any) -> Plan | None:
    """Find what a test asks for by its fixtures: the shop, or more that is in it."""
    plans = {
        plan for _, made in _made_for(test) if (plan := getattr(made, "plan", None))
    }
    more = {plan.more for plan in plans if plan.more}
    assert len(more) <= 1, f"{test.nodeid} asks for two worlds"
    uses = any(plan.uses for plan in plans)
    return Plan(uses, next(iter(more), None)) if plans else None


def _made_for(test: Any) -> Iterable[tuple[Any, Callable[..., Any]]]:
    """List what makes a test's fixtures, each with its scope and place."""
    known = getattr(test, "_fixtureinfo", None)
    for made in known.name2fixturedefs.values() if known else ():
        yield made[-1], made[-1].func


def _commits(test: Any) -> bool:
    told = test.get_closest_marker("django_db")
    return "transactional_db" in getattr(test, "fixturenames", ()) or bool(
        told and told.kwargs.get("transaction")
    )


def _builds(test: Any) -> bool:
    return any(
        made.scope != "function"
        and made.baseid not in ("", "tests")
        and "django_db_blocker" in made.argnames
        for made, _ in _made_for(test)
    )
