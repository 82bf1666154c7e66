"""When two tablets press at once, does one win and the other hear of it?

Real threads with connections of their own, on a database with real commits.
"""

import threading
import time
from collections import Counter
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import connection, connections, transaction

from tests import make
from tests.drill.size import sized
from tests.floor.story import at, code_of, must_swap, swap
from travelers.floor import queries
from travelers.floor.actions import Going, Gone, Verdict, record, record_several
from travelers.floor.models import Event, Hold, Stay
from travelers.floor.queries import audit
from travelers.floor.rules import Wish
from travelers.orders.models import Part, Step
from travelers.routes.queries import released_route
from travelers.shop.models import Person, Station

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.each]

THREADS = 8
PAIRS = sized(66, 300)
KNOT = {"reason": "knot", "only_part": True}


@pytest.fixture
def shop() -> make.Shop:
    # Routes are kept by number, and numbers begin anew in an emptied database.
    released_route.cache_clear()
    return make.shop()


def together(calls: Sequence[Callable[[], Any]]) -> list[Any]:
    """Make all calls at the same moment, each in a thread of its own."""
    gate = threading.Barrier(len(calls))

    def run(call: Callable[[], Any]) -> Any:
        try:
            gate.wait(timeout=30)
            return call()
        finally:
            connections.close_all()

    with ThreadPoolExecutor(len(calls)) as pool:
        return [made.result() for made in [pool.submit(run, call) for call in calls]]


def press(shop: make.Shop, wish: Wish, step: Step, by: str, **said: Any) -> Verdict:
    """Send a wish as a tablet does: the station is looked up, then it is recorded."""
    assert step.station
    return record(
        wish=wish,
        step_id=step.pk,
        station=queries.find_place(code=step.station.code),
        person=shop.cast.people[by],
        event_id=said.pop("event_id", None) or uuid4(),
        at=shop.now,
        heard_at=shop.now,
        data=said,
    )


def agree() -> None:
    """Check that rows and ledger agree in every instrument."""
    for pk in audit.instrument_ids():
        found = audit.check_instrument(instrument_id=pk).differences
        assert [str(each) for each in found] == []


def told(verdict: Verdict) -> tuple[Any, ...]:
    return (
        verdict.accepted,
        code_of(verdict),
        frozenset(verdict.refusal.words.items() if verdict.refusal else ()),
        verdict.seq,
        verdict.event_id,
        verdict.step_id,
        verdict.happened_at,
    )


@pytest.mark.proof("R3")
def test_r3_one_event_sent_a_thousand_times_by_eight_tablets_has_one_effect(
    shop: make.Shop,
) -> None:
    """R3: the one effect and the 999 repeats have the same answer."""
    step = shop.step_of(shop.part(shop.instrument()))
    assert step
    event_id = uuid4()

    def send_often() -> list[Verdict]:
        return [
            press(shop, Wish.START, step, "joiner", event_id=event_id)
            for _ in range(1000 // THREADS)
        ]

    answers = [one for many in together([send_often] * THREADS) for one in many]
    assert len(answers) == 1000
    assert len({told(answer) for answer in answers}) == 1
    assert Counter(answer.repeated for answer in answers) == {False: 1, True: 999}
    assert answers[0].accepted
    assert Event.objects.count() == 1
    step.refresh_from_db()
    assert (step.state, step.started_at) == ("RUNNING", shop.now)
    agree()


def test_a_refused_event_sent_by_all_at_once_is_refused_once(shop: make.Shop) -> None:
    step = shop.step_of(shop.part(shop.instrument()))
    assert step
    event_id = uuid4()
    send = partial(press, shop, Wish.FINISH, step, "joiner", event_id=event_id)
    answers = together([send] * THREADS)
    assert {code_of(answer) for answer in answers} == {"floor.not_now"}
    assert len({told(answer) for answer in answers}) == 1
    assert Event.objects.count() == 1


def test_an_unknown_code_sent_by_all_at_once_is_kept_once(shop: make.Shop) -> None:
    """There is no instrument to lock; the unique id alone stands guard."""
    for _ in range(10):
        event_id = uuid4()
        send = partial(
            record,
            wish=Wish.START,
            code="P0000000",
            station=queries.find_place(code="SAW"),
            person=shop.cast.joiner,
            event_id=event_id,
            at=shop.now,
            heard_at=shop.now,
        )
        answers = together([send] * THREADS)
        assert {code_of(answer) for answer in answers} == {"floor.unknown_code"}
        assert len({told(answer) for answer in answers}) == 1
        assert sorted(answer.repeated for answer in answers) == [False] + [True] * 7
        assert Event.objects.filter(event_id=event_id).count() == 1


def begun_steps(shop: make.Shop, count: int) -> list[Step]:
    """Start the first step of body, neck and harness of as many as are needed."""
    shop.instruments(-(-count // 3))
    steps = list(
        Step.objects.filter(state="READY")
        .exclude(part__branch="ASSEMBLY")
        .select_related("station", "part", "operation")
        .order_by("pk")[:count]
    )
    for step in steps:
        shop.must(Wish.START, step)
    return steps


@pytest.mark.proof("R5")
def test_r5_of_two_who_finish_a_step_at_once_one_wins_and_the_other_hears_who(
    shop: make.Shop,
) -> None:
    """R5: pair after pair, exactly one is told that it is done."""
    steps = begun_steps(shop, PAIRS)
    assert len(steps) == PAIRS
    winners: Counter[Person] = Counter()
    for step in steps:
        pair = together(
            [
                partial(press, shop, Wish.FINISH, step, who)
                for who in ("joiner", "finisher")
            ]
        )
        won, lost = sorted(pair, key=lambda verdict: not verdict.accepted)
        assert (won.accepted, lost.accepted) == (True, False)
        winner = Event.objects.get(pk=won.seq).person
        assert lost.refusal
        assert lost.refusal.code == "floor.already_done"
        assert lost.refusal.words == {
            "operation": step.operation.name,
            "finished_at": shop.now.isoformat(),
            "person": str(winner),
        }
        winners[winner] += 1
        accepted = Event.objects.filter(step=step, kind="FINISH", accepted=True)
        assert accepted.count() == 1
    assert sum(winners.values()) == PAIRS
    agree()


def test_a_part_is_not_begun_behind_the_back_of_a_hold(shop: make.Shop) -> None:
    """Whoever comes second knows of the first, in whatever order they come."""
    shop.instruments(8)
    orders: Counter[str] = Counter()
    for part in Part.objects.filter(branch__in=["BODY", "NECK"]).order_by("pk"):
        step = Step.objects.select_related("station").get(part=part, state="READY")
        hold, start = together(
            [
                partial(press, shop, Wish.HOLD, step, "lead", **KNOT),
                partial(press, shop, Wish.START, step, "joiner"),
            ]
        )
        assert hold.accepted
        if start.accepted:
            assert start.seq < hold.seq
        else:
            assert (code_of(start), start.seq > hold.seq) == ("floor.held", True)
        orders["start first" if start.accepted else "hold first"] += 1
    assert orders.total() == 16
    agree()


def test_two_branches_of_one_instrument_move_at_once(shop: make.Shop) -> None:
    instruments = shop.instruments(10)
    for instrument in instruments:
        steps = list(
            Step.objects.filter(instrument=instrument, state="READY")
            .select_related("station")
            .order_by("pk")
        )
        assert len(steps) == 3
        answers = together(
            [partial(press, shop, Wish.START, step, "joiner") for step in steps]
        )
        assert [answer.accepted for answer in answers] == [True] * 3
    agree()


def test_the_last_place_of_a_room_is_given_once(shop: make.Shop) -> None:
    """The room has three places and is loaded by four at once, five times over."""
    for _ in range(5):
        bodies = [shop.part(one) for one in shop.instruments(4)]
        steps = []
        for body in bodies:
            shop.work(body, until="Dry")
            step = shop.step_of(body)
            assert step
            steps.append(step)
        answers = together(
            [partial(press, shop, Wish.LOAD, step, "joiner") for step in steps]
        )
        assert sorted(code_of(answer) for answer in answers) == [
            "",
            "",
            "",
            "floor.no_room",
        ]
        shop.later(days=10)
        for step, answer in zip(steps, answers, strict=True):
            if answer.accepted:
                shop.check(step)
                shop.must(Wish.TAKE_OUT, step)
    agree()


def dryers(shop: make.Shop, count: int) -> list[Step]:
    return [at(shop, shop.part(one), "Dry") for one in shop.instruments(count)]


def put_in(
    shop: make.Shop, steps: Sequence[Step], by: str, load: UUID, ids: Sequence[UUID]
) -> list[Gone]:
    """Confirm a list as a tablet does, at the station of its first step."""
    assert steps[0].station
    place = queries.find_place(code=steps[0].station.code)
    assert place
    return record_several(
        wish=Wish.LOAD,
        going=[
            Going(step.part.code, step.pk, id_)
            for step, id_ in zip(steps, ids, strict=True)
        ],
        load=load,
        station=place,
        person=shop.cast.people[by],
        at=shop.now,
        heard_at=shop.now,
    )


def new_ids(count: int) -> list[UUID]:
    return [uuid4() for _ in range(count)]


@pytest.mark.parametrize("together_in_one", [False, True])
def test_two_lists_at_once_share_the_places_of_a_room(
    shop: make.Shop, *, together_in_one: bool
) -> None:
    """Two tablets load three parts each into a room of three places, as two loads
    and as one that both begin."""
    for _ in range(4):
        steps = dryers(shop, 6)
        mine = uuid4()
        other = mine if together_in_one else uuid4()
        both = together(
            [
                partial(put_in, shop, steps[:3], "joiner", mine, new_ids(3)),
                partial(put_in, shop, steps[3:], "finisher", other, new_ids(3)),
            ]
        )
        said = Counter(
            one.refusal.code if one.refusal else "" for gone in both for one in gone
        )
        assert said == {"": 3, "floor.no_room": 3}
        lying = Step.objects.filter(state="DWELLING", station__code="ROOM")
        assert lying.count() == 3
        assert Stay.objects.filter(load__in=[mine, other]).count() == 3
        shop.later(days=11)
        for step in lying:
            shop.check(step)
            shop.must(Wish.TAKE_OUT, step)
    agree()
    assert list(audit.check_loads()) == []


def test_one_load_is_begun_at_one_of_two_stations(shop: make.Shop) -> None:
    """Two stations name one load at once: one has it, the other hears where it is."""
    Station.objects.filter(code__in=("ROOM", "RACK")).update(places=99)
    for _ in range(4):
        dry, cure = dryers(shop, 1), [at(shop, shop.part(shop.instrument()), "Cure")]
        load = uuid4()
        both = together(
            [
                partial(put_in, shop, steps, "joiner", load, new_ids(1))
                for steps in (dry, cure)
            ]
        )
        said = Counter(
            one.refusal.code if one.refusal else "" for gone in both for one in gone
        )
        assert said == {"": 1, "floor.load_elsewhere": 1}
        (stay,) = Stay.objects.filter(load=load).select_related("load", "step")
        assert stay.load.station_id == stay.step.station_id
    agree()
    assert list(audit.check_loads()) == []


def test_a_list_confirmed_by_eight_at_once_goes_in_once(shop: make.Shop) -> None:
    """A finger that does not stop, and a network that repeats: one effect each."""
    Station.objects.filter(code="ROOM").update(places=9)
    steps, load, ids = dryers(shop, 5), uuid4(), new_ids(5)
    answers = together([partial(put_in, shop, steps, "joiner", load, ids)] * THREADS)
    assert all(one.refusal is None for gone in answers for one in gone)
    assert Event.objects.filter(kind="LOAD").count() == 5
    assert Stay.objects.filter(load=load).count() == 5
    agree()
    assert list(audit.check_loads()) == []


def test_one_hold_lifted_by_two_is_lifted_once(shop: make.Shop) -> None:
    for instrument in shop.instruments(6):
        part = shop.part(instrument)
        hold = shop.scan(Wish.HOLD, part, reason="knot", only_part=True)
        step = shop.step_of(part)
        assert step
        said = {"hold": str(hold.event_id), "reason": "seen"}
        answers = together(
            [
                partial(press, shop, Wish.LIFT, step, who, **said)
                for who in ("lead", "qa")
            ]
        )
        assert sorted(map(code_of, answers)) == ["", "floor.no_such_hold"]
    assert not Hold.objects.filter(lifted=None).exists()
    agree()


def test_one_press_taken_back_by_two_is_taken_back_once(shop: make.Shop) -> None:
    for step in begun_steps(shop, 12):
        taken = Event.objects.get(kind="START", step=step)
        said = {"event": str(taken.event_id), "reason": "slip"}
        answers = together(
            [
                partial(press, shop, Wish.UNDO, step, who, **said)
                for who in ("joiner", "lead")
            ]
        )
        assert sorted(map(code_of, answers)) == ["", "floor.undone_already"]
        step.refresh_from_db()
        assert step.state == "READY"
    agree()


def test_what_is_built_on_a_press_and_its_undo_know_of_each_other(
    shop: make.Shop,
) -> None:
    """Whoever comes second knows of the first: one of the two is refused."""
    orders: Counter[str] = Counter()
    for step in begun_steps(shop, 24):
        taken = Event.objects.get(kind="START", step=step)
        undo, finish = together(
            [
                partial(
                    press, shop, Wish.UNDO, step, "joiner", event=str(taken.event_id)
                ),
                partial(press, shop, Wish.FINISH, step, "finisher"),
            ]
        )
        got = (code_of(undo), code_of(finish))
        assert got in {("floor.undo_depends", ""), ("", "floor.not_now")}
        orders["undo first" if undo.accepted else "finish first"] += 1
    assert orders.total() == 24
    agree()


def test_an_undo_sent_by_all_at_once_has_one_effect(shop: make.Shop) -> None:
    (step,) = begun_steps(shop, 1)
    said = {"event": str(Event.objects.get().event_id), "event_id": uuid4()}
    send = [partial(press, shop, Wish.UNDO, step, "joiner", **said)] * THREADS
    answers = together(send)
    assert len({told(answer) for answer in answers}) == 1
    assert Event.objects.filter(kind="UNDO").count() == 1
    agree()


@pytest.mark.parametrize("named_by", ["tag", "step"])
def test_a_scan_that_waited_while_its_part_was_swapped_is_judged_where_it_is(
    shop: make.Shop, named_by: str
) -> None:
    """It looked the part up before the swap was done, and has the old lock after."""
    one, other = shop.instruments(2)
    mine, theirs = shop.part(one), shop.part(other)
    step = shop.step_of(mine)
    assert step
    is_swapped = threading.Event()

    def swap_slowly() -> None:
        with transaction.atomic():
            must_swap(shop, mine, theirs)
            is_swapped.set()
            until_somebody_waits()

    def scan() -> Verdict:
        assert is_swapped.wait(timeout=30)
        named = {"code": mine.code} if named_by == "tag" else {"step_id": step.pk}
        return record(
            wish=Wish.START,
            station=queries.find_place(code="SAW"),
            person=shop.cast.joiner,
            event_id=uuid4(),
            at=shop.now,
            heard_at=shop.now,
            **named,  # type: ignore[arg-type]
        )

    _, scanned = together([swap_slowly, scan])
    assert scanned.accepted
    event = Event.objects.get(pk=scanned.seq)
    assert (event.instrument, event.part, event.step) == (other, mine, step)
    agree()


def until_somebody_waits() -> None:
    """Give another the time to ask for a lock that is held here."""
    if connection.vendor == "sqlite":
        # There it waits for the whole database, before it looks anything up.
        time.sleep(0.3)
        return
    for _ in range(200):
        with connection.cursor() as cursor:
            cursor.execute("SELECT count(*) FROM pg_locks WHERE NOT granted")
            if cursor.fetchone()[0]:
                return
        time.sleep(0.05)
    pytest.fail("nobody waited")


def test_swaps_and_presses_at_once_never_wait_for_each_other_for_ever(
    shop: make.Shop,
) -> None:
    """Two swap the same bodies from both sides while both bodies are pressed."""
    one, other = shop.instruments(2)
    mine, theirs = shop.part(one), shop.part(other)
    told: Counter[tuple[str, ...]] = Counter()
    for _ in range(sized(10, 60)):
        steps = [shop.step_of(part) for part in (mine, theirs)]
        answers = together(
            [
                partial(swap, shop, mine, theirs),
                partial(swap, shop, theirs, mine),
                *(
                    partial(press, shop, Wish.HOLD, step, "joiner", **KNOT)
                    for step in steps
                    if step
                ),
            ]
        )
        codes = [code_of(answer) for answer in answers]
        assert codes[2:] == ["", ""]
        # The second says what both said first, or has looked where they are by now.
        assert set(codes[:2]) <= {"", "floor.swap_outdated"}
        assert "" in codes[:2]
        told[tuple(codes[:2])] += 1
    assert told.total() == sized(10, 60)
    agree()


def test_the_ledger_can_be_checked_while_the_shop_works(shop: make.Shop) -> None:
    """Between two readings of one instrument no scan comes in."""
    shop.instruments(12)
    first = Step.objects.filter(state="READY").select_related("station", "part")
    mine, others = list(first.order_by("pk")[::2]), list(first.order_by("pk")[1::2])
    is_over = threading.Event()

    def work(steps: list[Step]) -> None:
        for step in steps:
            press(shop, Wish.START, step, "joiner")
            press(shop, Wish.HOLD, step, "joiner", **KNOT)
            press(shop, Wish.FINISH, step, "joiner")
        is_over.set()

    def check() -> int:
        rounds = 0
        while rounds < 3 or not is_over.is_set():
            agree()
            rounds += 1
        return rounds

    *_, rounds = together([partial(work, mine), partial(work, others), check])
    assert rounds >= 3
    assert Event.objects.count() == 3 * len(mine + others)
    agree()
