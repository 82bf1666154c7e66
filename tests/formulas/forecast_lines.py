"""Which floors are forecast in the tests, and what do other simulators make of them?"""

import math
from collections.abc import Callable, Sequence
from random import Random

from travelers.formulas.forecast import (
    Instrument,
    Job,
    Line,
    Rule,
    Spread,
    Station,
    Step,
    fixed,
    gamma,
)

Times = Callable[[int, int], float]
"""How long a job's step takes, by their numbers."""


def single(
    seed: int, jobs: int, *, load: float, places: int = 1, work: Spread | None = None
) -> Line:
    """Let jobs come by chance to one station; the mean work is 1 s."""
    chance = Random(seed)
    at, comes = 0.0, []
    for _ in range(jobs):
        at += chance.expovariate(load * places)
        comes.append(at)
    return chain_line(
        [places], [(0, work or gamma(1.0, 1.0))], comes, names=[str(seed)]
    )


def chain_line(
    places: Sequence[int],
    steps: Sequence[tuple[int, Spread]],
    comes: Sequence[float],
    names: Sequence[str] = ("",),
) -> Line:
    """Make a flow line: all jobs take the same steps, at stations by their numbers."""
    way = tuple(
        Step(None, dwell=time) if at < 0 else Step(f"s{at}", work=time)
        for at, time in steps
    )
    numbers = range(len(comes))
    return Line(
        tuple(Station(f"s{n}", count) for n, count in enumerate(places)),
        tuple(
            Job(f"{names[0]}/{n}", f"i{n}", way, release_s=comes[n]) for n in numbers
        ),
        tuple(Instrument(f"i{n}", f"o{n % 3}") for n in numbers),
    )


PLACES = (2, 1, 3)
WAY = ((0, 1.0), (1, 0.7), (-1, 3.0), (2, 2.0), (0, 0.5))
"""Stations, -1 for a wait without a place, and mean seconds."""


def flow_line(seed: int, jobs: int = 60, cv: float = 0.7) -> Line:
    """Make a flow line that comes back to its first station; loads of 0.68 to 0.95."""
    chance = Random(seed)
    at, comes = 0.0, []
    for _ in range(jobs):
        at += chance.expovariate(0.9)
        comes.append(at)
    steps = [(station, gamma(mean, cv)) for station, mean in WAY]
    return chain_line(PLACES, steps, comes, names=[f"seed {seed}"])


def by_simpy(line: Line, times: Times) -> list[float]:
    """Live through a flow line with SimPy; give when each job is finished."""
    import simpy

    env = simpy.Environment()
    stations = {
        one.name: simpy.Resource(env, capacity=one.places) for one in line.stations
    }
    finishes = [0.0] * len(line.jobs)

    def job(number):
        yield env.timeout(line.jobs[number].release_s)
        for step, one in enumerate(line.jobs[number].steps):
            if one.station is None:
                yield env.timeout(times(number, step))
                continue
            with stations[one.station].request() as place:
                yield place
                yield env.timeout(times(number, step))
        finishes[number] = env.now

    for number in range(len(line.jobs)):
        env.process(job(number))
    env.run()
    return finishes


def by_ciw(line: Line, times: Times) -> list[float]:
    """Live through a flow line with Ciw; give when each job is finished."""
    import ciw

    class Given(ciw.dists.Distribution):  # type: ignore[misc]
        def sample(self, t=None, ind=None):
            step = getattr(ind, "steps_done", 0)
            ind.steps_done = step + 1
            return times(ind.id_number - 1, step)

    names = [one.name for one in line.stations]
    way = [
        names.index(step.station) + 1 if step.station else len(names) + 1
        for step in line.jobs[0].steps
    ]
    comes = [job.release_s for job in line.jobs]
    gaps = [b - a for a, b in zip([0.0, *comes], comes, strict=False)]
    network = ciw.create_network(
        arrival_distributions=[
            ciw.dists.Sequential([*gaps, math.inf]) if at + 1 == way[0] else None
            for at in range(len(names) + 1)
        ],
        service_distributions=[Given()] * (len(names) + 1),
        number_of_servers=[*(one.places for one in line.stations), math.inf],
        routing=ciw.routing.ProcessBased(lambda ind, simulation: way[1:]),
    )
    simulation = ciw.Simulation(network)
    simulation.simulate_until_max_customers(len(comes), method="Finish")
    finishes = [0.0] * len(comes)
    for record in simulation.get_all_records():
        number = record.id_number - 1
        finishes[number] = max(finishes[number], record.exit_date)
    return finishes


def drawn_anew(line: Line, chance: Random) -> Times:
    """Draw times of a flow line's gamma steps by the standard library."""
    steps = line.jobs[0].steps
    spreads = [one.work if one.station else one.dwell for one in steps]

    def time(_: int, step: int) -> float:
        shape = 1 / spreads[step].cv ** 2
        return chance.gammavariate(shape, spreads[step].scale_s / shape)

    return time


def shop(
    seed: int,
    *,
    limit: int,
    others: float = 0.75,
    jobs: int = 40,
    more: int | None = None,
) -> Line:
    """Make a shop whose station ``limit`` is loaded most.

    Eight stations of one to three places. Every instrument is a body and a neck with
    six steps each, then four steps joined, in an order of the shop's own. Times differ
    by the step; they are scaled so that the station that shall limit has as much work
    as there is time until the last release, all others from 0.45 to ``others`` of that.
    One more place goes to ``more``.
    """
    chance = Random(seed)
    places = [chance.randint(1, 3) for _ in range(8)]
    ways = [_way(chance, limit, count) for count in (6, 6, 4)]
    loads = [chance.uniform(0.45, others) for _ in places]
    loads[limit] = 1.0
    hours = [0.0] * len(places)
    for way in ways:
        for station, time in way:
            hours[station] += time
    every = 4 * 3600.0
    steps = [
        tuple(
            Step(
                f"s{at}",
                work=gamma(time / hours[at] * loads[at] * places[at] * every, 0.5),
            )
            for at, time in way
        )
        for way in ways
    ]
    if more is not None:
        places[more] += 1
    work = []
    for n in range(jobs):
        for name, own in zip(("body", "neck"), steps, strict=False):
            name = f"{name} {n}"
            work.append(Job(name, f"i{n}", own, release_s=n * every))
        mates = (f"body {n}", f"neck {n}")
        work.append(Job(f"joined {n}", f"i{n}", steps[2], joins=mates))
    return Line(
        tuple(Station(f"s{n}", count) for n, count in enumerate(places)),
        tuple(work),
        tuple(Instrument(f"i{n}", f"o{n // 4}") for n in range(jobs)),
        rule=Rule.FIRST_COME,
    )


def _way(chance: Random, limit: int, count: int) -> list[tuple[int, float]]:
    """Give stations and times of a way; the limit is met once on each."""
    others = [n for n in range(8) if n != limit]
    way = [chance.choice(others) for _ in range(count - 1)]
    way.insert(chance.randrange(count), limit)
    return [(station, chance.uniform(0.5, 2.0)) for station in way]


def on_one_bench(steps: Sequence[Step], **given) -> Line:
    """Make a line of one job at one bench with one place."""
    return Line(
        (Station("bench", 1),),
        (Job("a", "a", tuple(steps), **given),),
        (Instrument("a"),),
    )


HOUR = 3600.0
WORK = fixed(HOUR)
