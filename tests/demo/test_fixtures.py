"""Is the invented workshop of the demo whole, consistent, and its own?

Plain files, no Django. Where a number is checked against the outside, its source stands
beside it; the rest are promises that the demo's own files make to each other.
"""

import copy
import csv
import json
import math
import re
from collections import Counter
from datetime import date, time, timedelta
from decimal import Decimal
from itertools import pairwise
from pathlib import Path
from statistics import mean, stdev
from typing import Any

import networkx as nx
import pytest

from travelers.demo.actions.setting_up import FILES_END_ON

TOP = Path(__file__).parents[2]
DEMO = TOP / "fixtures" / "demo"
MODELS = ("tern", "heron")
DAY_S = 86400

KINDS = {"WORK", "HOLD", "INSPECT", "JOIN"}
PICTURES = {"body", "neck", "electronics", "instrument"}
ROLES = {"operator", "lead", "planner", "qa", "route_engineer", "admin"}
USUAL = {"USE_AS_IS", "REWORK", "DOWNGRADE", "SCRAP"}

OPERATION_KEYS = """
    branch number name stage station kind joins planned_s shortest_dwell_s longest_gap_s
    times shortest_between_s longest_between_s instruction picture after characteristics
    cautions
"""
CHARACTERISTIC_KEYS = """
    code name kind unit nominal lower upper decimals places place_name every_nth
    gauge_kind charted
"""

# Where one of these words stands in an operation's name or instruction, it can hurt.
HAZARD_WORDS = re.compile(
    r"\b(saw|rip|split|cut|plane|joint|router|drill|ream|sand|blow|glue|clamps?|press|dry|"
    r"vacuum|uv|seal|stain|lacquer|spray|ink|oil|solder|iron|frets?|file|string|pitch|buff|"
    r"booth|plug|rod)\b",
    re.IGNORECASE,
)

# What must be warned of at a station, every sign of the set, whatever the words are.
HAZARDS_AT = {
    "RIP-1 BAND-1 PLANE-1 SLOT-1 EDGE-1": {"W088", "P028", "M004", "M003", "M017"},
    "CNC-B1 CNC-B2 CNC-N1": {"W018", "P015", "M004", "M003", "M017"},
    "SAND-B1 SAND-N1": {"M017", "W021", "M004", "M003"},
    "DRY-A DRY-B": {"W017", "E001"},
    "GLUE-1 GLUE-2": {"W024", "M009"},
    "VAC-1": {"W019"},
    "INSERT-1": {"W088", "W024", "M004"},
    "PRINT-1": {"W021", "M057"},
    "UV-1": {"M004", "M010"},
    "SEAL-1 SPRAY-2": {"W021", "P003", "M017", "W071"},
    "SPRAY-1": {"W021", "P003", "M017"},
    "WET-1": {"W011", "W012"},
    "BUFF-1": {"P028", "M013"},
    "FRET-1": {"W024", "W022", "M004"},
    "TRIM-1": {"W022", "M004", "M016"},
    "OIL-1": {"W021"},
    "NUT-1": {"W088", "M004"},
    "SOLDER-1": {"W017", "M057", "W071", "M004"},
    "ETEST-1": {"W012"},
    "SETUP-1 SETUP-2": {"W022"},
    "BOOTH-1 PLAY-1": {"M003", "M004"},
}
SIGNS_AT = {s: signs for group, signs in HAZARDS_AT.items() for s in group.split()}


def load(name: str) -> Any:
    return json.loads((DEMO / f"{name}.json").read_text(encoding="utf-8"))


def operations(model: Any) -> list[Any]:
    return list(model["revision"]["operations"])


def key(operation: Any) -> str:
    return f"{operation['branch']}.{operation['number']}"


def of_branch(model: Any, branch: str) -> list[Any]:
    found = [o for o in operations(model) if o["branch"] == branch]
    return sorted(found, key=lambda o: o["number"])


def characteristics(model: Any) -> list[Any]:
    return [c for o in operations(model) for c in o["characteristics"]]


def by_code(model: Any, code: str) -> Any:
    return next(c for c in characteristics(model) if c["code"] == code)


def limits_of(model: Any, code: str) -> tuple[Decimal, Decimal]:
    found = by_code(model, code)
    return Decimal(found["lower"]), Decimal(found["upper"])


def signs() -> set[str]:
    with (TOP / "shared" / "iso7010_signs.csv").open(encoding="utf-8") as file:
        return {row["code"] for row in csv.DictReader(file)}


def doubled(values: list[Any]) -> list[Any]:
    return [value for value, count in Counter(values).items() if count > 1]


def least_s(operation: Any) -> int:
    """Shortest time that one operation can take from its start to the next's."""
    times = operation["times"]
    waits = (times - 1) * (operation["shortest_between_s"] or 0)
    return int(times * operation["planned_s"] + operation["shortest_dwell_s"] + waits)


def graph_of(model: Any) -> "nx.DiGraph[str]":
    """The route as operations after operations, each edge as long as its first end."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    known = {key(o): o for o in operations(model)}
    graph.add_nodes_from(known)
    for branch in {o["branch"] for o in operations(model)}:
        for before, after in pairwise(of_branch(model, branch)):
            graph.add_edge(key(before), key(after), weight=least_s(before))
    for operation in operations(model):
        for before in operation["after"]:
            graph.add_edge(before, key(operation), weight=least_s(known[before]))
    return graph


# What is wrong with one operation or characteristic; nothing is good news.


def faults_of_operation(operation: Any, shop: Any, known_signs: set[str]) -> list[str]:
    checks = {
        "keys": set(operation) == set(OPERATION_KEYS.split()),
        "name": 0 < len(operation["name"]) <= 40,
        "stage": operation["stage"] in {s["code"] for s in shop["stages"]},
        "kind": operation["kind"] in KINDS,
        "picture": operation["picture"] in PICTURES,
        "joins": bool(operation["joins"]) == (operation["kind"] == "JOIN"),
        "planned": operation["kind"] == "HOLD" or operation["planned_s"] > 0,
        "dwell": operation["kind"] != "HOLD" or operation["shortest_dwell_s"] > 0,
        "clamped": operation["kind"] != "INSPECT" or not operation["shortest_dwell_s"],
        "gap": operation["longest_gap_s"] is None or operation["longest_gap_s"] > 0,
        "coats": coats_are_right(operation),
        "station": station_fits(operation, shop["stations"]),
        "inspected": operation["kind"] != "INSPECT" or operation["characteristics"],
        "instruction": instruction_is_short(operation["instruction"]),
        "signs": {c["sign"] for c in operation["cautions"]} <= known_signs,
        "sign twice": not doubled([c["sign"] for c in operation["cautions"]]),
        "sentence": all(0 < len(c["sentence"]) <= 90 for c in operation["cautions"]),
        "hazard": is_warned_of(operation),
    }
    return [name for name, good in checks.items() if not good]


def coats_are_right(operation: Any) -> bool:
    shortest, longest = operation["shortest_between_s"], operation["longest_between_s"]
    if operation["times"] == 1:
        return shortest is None and longest is None
    return bool(operation["times"] > 1 and 0 < shortest < longest)


def station_fits(operation: Any, stations: list[Any]) -> bool:
    """Work goes to an attended station of its stage, a hold to one that holds."""
    wanted = operation["station"]
    return any(
        s["stage"] == operation["stage"]
        and s["attended"] == (operation["kind"] != "HOLD")
        and wanted in (None, s["code"])
        for s in stations
    )


def instruction_is_short(text: str) -> bool:
    sentences = [s for s in re.split(r"(?<=[.!?])\s+", text) if s]
    return 1 <= len(sentences) <= 3 and len(text) <= 200 and text.endswith(".")


def is_warned_of(operation: Any) -> bool:
    """No hazardous word goes without a caution, no station without its own signs."""
    given = {c["sign"] for c in operation["cautions"]}
    text = f"{operation['name']}. {operation['instruction']}"
    if HAZARD_WORDS.search(text) and not given:
        return False
    return SIGNS_AT.get(operation["station"], set()) <= given


def faults_of_characteristic(found: Any, model: Any, gauges: list[Any]) -> list[str]:
    limits = [Decimal(found[k]) for k in ("lower", "nominal", "upper") if found[k]]
    measured, judged = found["kind"] == "MEASURED", found["kind"] == "JUDGED"
    checks = {
        "keys": set(found) == set(CHARACTERISTIC_KEYS.split()),
        "code": re.fullmatch(r"[A-Z0-9_]{1,16}", found["code"]),
        "kind": found["kind"] in {"MEASURED", "COUNTED", "JUDGED"},
        "unit": bool(found["unit"]) != judged,
        "limits": bool(found["lower"] or found["upper"]) != judged,
        "order": limits == sorted(set(limits)),
        "decimals": all(-exponent(v) <= found["decimals"] for v in limits),
        "gauge": bool(found["gauge_kind"]) == measured,
        "gauge reads": not measured or gauge_reads(found, gauges),
        "places": places_fit(found, model),
        "charted": found["charted"] in (True, False)
        and not (judged and found["charted"]),
    }
    return [name for name, good in checks.items() if not good]


def exponent(value: Decimal) -> int:
    return int(value.as_tuple().exponent)


def gauge_reads(found: Any, gauges: list[Any]) -> bool:
    """Some gauge of the kind reads in the unit, and as finely as is written down."""
    return any(
        gauge["kind"] == found["gauge_kind"]
        and gauge["unit"] == found["unit"]
        and -exponent(Decimal(gauge["resolution"])) >= found["decimals"]
        for gauge in gauges
    )


def places_fit(found: Any, model: Any) -> bool:
    pieces = {w["pieces"] for w in model["wood"]}
    counts = {
        "": {1},
        "string": {model["strings"]},
        "fret": {model["frets"]},
        "piece": pieces,
        "pickup": {2, 3},
        "point": set(range(2, 7)),
    }
    return found["places"] in counts.get(found["place_name"], set())


# The workshop.


def test_every_stage_has_a_station_and_every_station_a_stage_and_a_shift() -> None:
    shop = load("shop")
    stages = [s["code"] for s in shop["stages"]]
    assert 10 <= len(stages) <= 11
    assert not doubled(stages)
    assert stages[0] == "LUMBER"
    assert stages[-1] == "TEST_PLAY"
    assert all(re.fullmatch(r"[A-Z_]{1,12}", code) for code in stages)
    assert all(0 < len(s["name"]) <= 14 for s in shop["stages"])
    assert {s["stage"] for s in shop["stations"]} == set(stages)
    assert {s["shift"] for s in shop["stations"]} <= {s["code"] for s in shop["shifts"]}


def test_stations_have_short_codes_and_holding_ones_have_room() -> None:
    stations = load("shop")["stations"]
    assert len(stations) >= 22
    assert set(SIGNS_AT) <= {s["code"] for s in stations}
    assert not doubled([s["code"] for s in stations])
    assert all(re.fullmatch(r"[A-Z0-9-]{1,10}", s["code"]) for s in stations)
    for station in stations:
        least, most = (1, 6) if station["attended"] else (20, 400)
        assert least <= station["places"] <= most, station["code"]


def test_every_station_is_used_by_a_route() -> None:
    used = {o["station"] for name in MODELS for o in operations(load(name))}
    free = {
        o["stage"]
        for name in MODELS
        for o in operations(load(name))
        if not o["station"]
    }
    for station in load("shop")["stations"]:
        assert station["code"] in used or station["stage"] in free, station["code"]


def test_shifts_and_closed_days_are_times_and_days() -> None:
    shop = load("shop")
    for shift in shop["shifts"]:
        assert time.fromisoformat(shift["starts"]) < time.fromisoformat(shift["ends"])
        assert re.fullmatch(r"1?2?3?4?5?6?7?", shift["weekdays"])
        assert shift["weekdays"]
    days = [date.fromisoformat(c["day"]) for c in shop["closed_days"]]
    assert days == sorted(set(days))
    assert all(c["reason"] for c in shop["closed_days"])


def test_gauges_were_calibrated_before_the_first_delivery_and_one_is_overdue() -> None:
    gauges = load("shop")["gauges"]
    first = min(d["received_on"] for d in load("lumber")["deliveries"])
    assert len(gauges) >= 14
    assert not doubled([g["name"] for g in gauges])
    overdue = [g for g in gauges if date.fromisoformat(g["due_on"]) < FILES_END_ON]
    assert [gauge["name"] for gauge in overdue] == ["Caliper 4"]
    # The demo begins on the same weekday within a week of the files' end.
    soonest = min(date.fromisoformat(g["due_on"]) for g in gauges if g not in overdue)
    assert soonest > FILES_END_ON + timedelta(days=14)
    for gauge in gauges:
        assert date.fromisoformat(gauge["calibrated_on"]) < date.fromisoformat(first)
        assert Decimal(gauge["resolution"]) > 0
        assert gauge["unit"]


def test_people_fill_every_role_and_can_be_told_apart() -> None:
    people = load("shop")["people"]
    roles = Counter(role for person in people for role in person["roles"])
    assert len(people) >= 32
    assert set(roles) == ROLES
    assert roles["operator"] >= 20
    assert {
        r: roles[r] for r in ("lead", "planner", "qa", "route_engineer", "admin")
    } == {
        "lead": 4,
        "planner": 2,
        "qa": 3,
        "route_engineer": 2,
        "admin": 1,
    }
    assert any(len(person["roles"]) == 2 for person in people)
    for name in ("username", "initials", "last_name"):
        assert not doubled([person[name] for person in people]), name
    assert all(re.fullmatch(r"[A-Z]{2,3}", person["initials"]) for person in people)
    assert all(re.fullmatch(r"[a-z]+", person["username"]) for person in people)


@pytest.mark.parametrize(
    ("username", "role"),
    [
        ("marta", "operator"),
        ("lev", "lead"),
        ("pia", "planner"),
        ("quentin", "qa"),
        ("rosa", "route_engineer"),
        ("ada", "admin"),
    ],
)
def test_the_well_known_six_have_one_role_each(username: str, role: str) -> None:
    roles = {p["username"]: p["roles"] for p in load("shop")["people"]}
    assert roles[username] == [role]


# The wood.


def planks_of(species: list[str]) -> list[Any]:
    return [
        p
        for d in load("lumber")["deliveries"]
        if d["species"] in species
        for p in d["planks"]
    ]


def density_kg_m3(plank: Any) -> float:
    volume_mm3 = plank["length_mm"] * plank["width_mm"] * plank["thickness_mm"]
    return float(plank["mass_g"] / volume_mm3 * 1e6)


def test_deliveries_name_known_species_and_suppliers_and_carry_their_papers() -> None:
    lumber = load("lumber")
    species = {s["code"]: s for s in lumber["species"]}
    suppliers = {s["code"] for s in lumber["suppliers"]}
    assert len(species) >= 5
    assert len(suppliers) == 4
    assert any(s["trade_controlled"] for s in species.values())
    assert len(lumber["deliveries"]) >= 12
    assert not doubled([d["number"] for d in lumber["deliveries"]])
    for delivery in lumber["deliveries"]:
        controlled = species[delivery["species"]]["trade_controlled"]
        assert delivery["supplier"] in suppliers
        assert delivery["papers"]
        assert bool(delivery["trade_papers"]) == controlled, delivery["number"]
        assert date(2025, 11, 1) <= date.fromisoformat(delivery["received_on"])
        assert date.fromisoformat(delivery["received_on"]) <= date(2026, 6, 30)


def test_a_species_serves_bodies_or_necks_never_both() -> None:
    served: dict[str, set[str]] = {}
    for name in MODELS:
        for wood in load(name)["wood"]:
            served.setdefault(wood["branch"], set()).update(wood["species"])
    assert not served["BODY"] & served["NECK"]
    assert served["BODY"] | served["NECK"] == {
        s["code"] for s in load("lumber")["species"]
    }


@pytest.mark.parametrize("name", MODELS)
def test_every_plank_yields_the_sets_that_its_model_promises(name: str) -> None:
    kerf = 4  # the demo's own saw
    for wood in load(name)["wood"]:
        length, width, thickness = wood["piece_mm"]
        for plank in planks_of(wood["species"]):
            along = (plank["length_mm"] + kerf) // (length + kerf)
            across = (plank["width_mm"] + kerf) // (width + kerf)
            assert along * across >= wood["sets_per_plank"] * wood["pieces"], plank
            assert plank["thickness_mm"] > thickness


def test_there_is_wood_for_120_terns_and_60_herons() -> None:
    wood = {(n, w["branch"]): w for n in MODELS for w in load(n)["wood"]}
    bodies = [wood["tern", "BODY"], wood["heron", "BODY"]]
    sets = [len(planks_of(w["species"])) * w["sets_per_plank"] for w in bodies]
    assert sets[0] >= 120
    assert sets[1] >= 60
    necks = sorted({s for n in MODELS for s in wood[n, "NECK"]["species"]})
    assert len(planks_of(necks)) * 8 >= 180
    assert len(planks_of(wood["tern", "NECK"]["species"])) * 8 >= 120
    assert sum(len(planks_of(w["species"])) for w in bodies) >= 60
    assert len(planks_of(necks)) >= 24


def test_planks_weigh_what_their_species_weighs() -> None:
    """Mean specific gravity at 12 % moisture: USDA Wood Handbook (FPL-GTR-190, 2010).

    Quoted from pages that repeat its column; rosewood from memory. At 10 % moisture the
    density is 1.10 times that, but for a percent of shrinkage.
    """
    published = {
        "ASH": 0.60,
        "ALDER": 0.41,
        "BASSWOOD": 0.37,
        "WALNUT": 0.55,
        "REDMAPLE": 0.54,
        "MAPLE": 0.63,
        "ROSEWOOD": 0.85,
    }
    ratios = []
    for species, gravity in published.items():
        mine = [density_kg_m3(p) / (gravity * 1100) for p in planks_of([species])]
        assert abs(mean(mine) - 1) < 3 * 0.06 / math.sqrt(len(mine)), species
        assert all(0.80 < ratio < 1.20 for ratio in mine), species
        ratios += mine
    assert 0.045 < stdev(ratios) < 0.075


@pytest.mark.parametrize("name", MODELS)
def test_no_plank_is_so_light_or_heavy_that_its_pieces_fail_the_scale(
    name: str,
) -> None:
    model = load(name)
    wood = next(w for w in model["wood"] if w["branch"] == "BODY")
    litres = math.prod(wood["piece_mm"]) / 1e6
    lower, upper = limits_of(model, "BODY_PIECE_MASS")
    for plank in planks_of(wood["species"]):
        assert lower < density_kg_m3(plank) * litres < upper, plank


# The routes.


@pytest.mark.parametrize("name", MODELS)
def test_no_operation_of_a_route_has_a_fault(name: str) -> None:
    shop, known = load("shop"), signs()
    faults = {
        key(o): faults_of_operation(o, shop, known) for o in operations(load(name))
    }
    assert {k: f for k, f in faults.items() if f} == {}


@pytest.mark.parametrize("name", MODELS)
def test_no_characteristic_of_a_route_has_a_fault(name: str) -> None:
    model, gauges = load(name), load("shop")["gauges"]
    found = characteristics(model)
    faults = {c["code"]: faults_of_characteristic(c, model, gauges) for c in found}
    assert {k: f for k, f in faults.items() if f} == {}
    assert len(found) >= 13
    assert not doubled([c["code"] for c in found])


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"name": "x" * 41}, "name"),
        ({"stage": "KILN"}, "stage"),
        ({"station": "DRY-A"}, "station"),
        ({"kind": "HOLD", "shortest_dwell_s": 0}, "dwell"),
        ({"kind": "JOIN"}, "joins"),
        ({"planned_s": 0}, "planned"),
        ({"longest_gap_s": 0}, "gap"),
        ({"times": 3}, "coats"),
        ({"shortest_between_s": 60}, "coats"),
        ({"instruction": "One. Two. Three. Four."}, "instruction"),
        ({"cautions": []}, "hazard"),
        ({"station": None, "cautions": []}, "hazard"),
        ({"cautions": [{"sign": "W088", "sentence": "Moving blade."}]}, "hazard"),
        ({"cautions": [{"sign": "W999", "sentence": "Unknown."}]}, "signs"),
        ({"picture": "lathe"}, "picture"),
    ],
)
def test_a_spoiled_operation_is_found_out(change: Any, fault: str) -> None:
    sound = copy.deepcopy(of_branch(load("tern"), "BODY")[0])
    if fault == "coats" and "times" in change:
        sound |= {"shortest_between_s": 900, "longest_between_s": 600}
    assert fault in faults_of_operation(sound | change, load("shop"), signs())


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"code": "pocket"}, "code"),
        ({"unit": ""}, "unit"),
        ({"lower": None, "upper": None}, "limits"),
        ({"lower": "57.00"}, "order"),
        ({"upper": "56.2203"}, "decimals"),
        ({"gauge_kind": "yardstick"}, "gauge reads"),
        ({"unit": "inch"}, "gauge reads"),
        ({"decimals": 3}, "gauge reads"),
        ({"gauge_kind": None}, "gauge"),
        ({"places": 7, "place_name": "string"}, "places"),
        ({"kind": "JUDGED"}, "limits"),
    ],
)
def test_a_spoiled_characteristic_is_found_out(change: Any, fault: str) -> None:
    tern = load("tern")
    sound = by_code(tern, "BODY_POCKET_W")
    assert fault in faults_of_characteristic(
        sound | change, tern, load("shop")["gauges"]
    )


@pytest.mark.parametrize("name", MODELS)
def test_a_model_says_what_it_is(name: str) -> None:
    model = load(name)
    assert model["shape"] == {"tern": "solid", "heron": "semi_hollow"}[name]
    assert model["strings"] == 6
    assert 22 <= model["frets"] <= 24
    assert model["serial_prefix"] == name[0].upper()
    assert len(model["finishes"]) >= 3
    assert model["revision"]["number"] == "A"
    assert {w["branch"] for w in model["wood"]} == {"BODY", "NECK"}


@pytest.mark.parametrize("name", MODELS)
def test_a_route_has_its_four_branches_in_full(name: str) -> None:
    model = load(name)
    least = {"BODY": 18, "NECK": 16, "ELECTRONICS": 3, "ASSEMBLY": 12}
    counts = Counter(o["branch"] for o in operations(model))
    assert set(counts) == set(least)
    assert all(counts[branch] >= n for branch, n in least.items())
    assert 45 <= counts.total() <= 60
    assert not doubled([key(o) for o in operations(model)])
    assert {c["kind"] for c in characteristics(model)} == {
        "MEASURED",
        "COUNTED",
        "JUDGED",
    }


@pytest.mark.parametrize("name", MODELS)
def test_branches_meet_only_where_tags_are_scanned(name: str) -> None:
    model = load(name)
    last = {b: key(of_branch(model, b)[-1]) for b in ("BODY", "NECK", "ELECTRONICS")}
    meets = {key(o): set(o["after"]) for o in operations(model) if o["after"]}
    first = key(of_branch(model, "ASSEMBLY")[0])
    assert meets[first] == {last["BODY"], last["NECK"]}
    assert set.union(*meets.values()) == set(last.values())
    assert len(meets) == 2
    for operation in operations(model):
        assert (operation["joins"] == "BRANCHES") == bool(operation["after"])


@pytest.mark.parametrize("name", MODELS)
def test_every_wooden_branch_is_glued_up_piece_by_scanned_piece(name: str) -> None:
    model = load(name)
    for wood in model["wood"]:
        joins = [o for o in of_branch(model, wood["branch"]) if o["joins"] == "PIECES"]
        assert len(joins) == 1
        assert wood["pieces"] >= 2
        assert joins[0]["shortest_dwell_s"] > 0  # in the clamps
        assert joins[0]["longest_gap_s"] == 4 * DAY_S  # dry wood drinks again


@pytest.mark.parametrize("name", MODELS)
def test_the_wood_gets_thinner_on_its_way(name: str) -> None:
    model = load(name)
    wood = next(w for w in model["wood"] if w["branch"] == "BODY")
    rough, thick = limits_of(model, "BODY_ROUGH_T"), limits_of(model, "BODY_THICK")
    planks = [p["thickness_mm"] for p in planks_of(wood["species"])]
    assert min(planks) > wood["piece_mm"][2] > rough[1]
    assert rough[0] > thick[1]
    assert Decimal(by_code(model, "BODY_PIECE_W")["nominal"]) == wood["piece_mm"][1]


@pytest.mark.parametrize("name", MODELS)
def test_any_good_heel_fits_any_good_pocket(name: str) -> None:
    """The widest heel enters the narrowest pocket; the loosest pair is close enough."""
    model = load(name)
    heel, pocket = limits_of(model, "NECK_HEEL_W"), limits_of(model, "BODY_POCKET_W")
    assert heel[1] < pocket[0]
    gap_a_side = (pocket[1] - heel[0]) / 2
    assert gap_a_side <= Decimal(by_code(model, "JOINT_GAP")["upper"])


# Holds on the longest path, added up by hand from the files, in days:
#   Tern   46 dry + 38 dry again + 6 rest + 6 sealer + 33 cure + 4 strings = 133
#   Heron  51 dry + 43 dry again + 9 plate + 7 sealer + 36 cure + 5 strings = 151
@pytest.mark.parametrize(("name", "held_days"), [("tern", 133), ("heron", 151)])
def test_the_longest_path_is_the_body_and_mostly_waiting(
    name: str, held_days: int
) -> None:
    model = load(name)
    graph = graph_of(model)
    assert nx.is_directed_acyclic_graph(graph)
    path = nx.dag_longest_path(graph)
    known = {key(o): o for o in operations(model)}
    assert path[0] == "BODY.10"
    assert path[-1] == key(of_branch(model, "ASSEMBLY")[-1])
    assert not [step for step in path if step.startswith(("NECK", "ELECTRONICS"))]
    held = sum(known[s]["shortest_dwell_s"] for s in path if known[s]["kind"] == "HOLD")
    assert held == held_days * DAY_S
    days = (nx.dag_longest_path_length(graph) + least_s(known[path[-1]])) / DAY_S
    assert 130 <= days <= 170
    assert held_days < days < held_days + 4


@pytest.mark.parametrize("name", MODELS)
def test_the_demo_has_its_own_numbers(name: str) -> None:
    """None of the figures of common practice (no published source) is used again.

    Two months of drying, six weeks of cure, three hours in the clamps, below 6 % of
    moisture, 1.27 mm of veneer, 22 coats, 22 frets, a relief of zero.
    """
    model = load(name)
    holds = {
        o["shortest_dwell_s"] / DAY_S for o in operations(model) if o["kind"] == "HOLD"
    }
    assert not holds & {60, 61, 42}
    clamped = {
        o["shortest_dwell_s"]
        for o in operations(model)
        if o["kind"] in ("JOIN", "WORK")
    }
    assert 3 * 3600 not in clamped
    coats = sum(o["times"] for o in of_branch(model, "BODY") if o["times"] > 1)
    assert coats == {"tern": 15, "heron": 14}[name]
    assert model["frets"] != 22
    assert Decimal(by_code(model, "BODY_MOIST_DRY")["upper"]) > 6
    assert Decimal(by_code(model, "NECK_VENEER_T")["nominal"]) != Decimal("1.27")
    assert Decimal(by_code(model, "RELIEF")["lower"]) > 0


def test_the_two_models_differ_in_what_is_measured_and_how() -> None:
    tern, heron = load("tern"), load("heron")
    codes = {c["code"] for c in characteristics(tern)} | {
        c["code"] for c in characteristics(heron)
    }
    assert len(codes) >= 25
    assert tern["scale_mm"] != heron["scale_mm"]
    changed = [
        code
        for code in {c["code"] for c in characteristics(tern)}
        if code in {c["code"] for c in characteristics(heron)}
        and by_code(tern, code) != by_code(heron, code)
    ]
    assert len(changed) >= 20


# The defects.


def test_defect_kinds_are_told_apart_and_name_known_things() -> None:
    kinds, stages = (
        load("defects")["kinds"],
        {s["code"] for s in load("shop")["stages"]},
    )
    assert len(kinds) >= 42
    assert not doubled([k["code"] for k in kinds])
    assert not doubled([k["name"] for k in kinds])
    for kind in kinds:
        assert re.fullmatch(r"[A-Z0-9_]{1,16}", kind["code"])
        assert kind["branches"]
        assert set(kind["branches"]) <= {"BODY", "NECK", "ELECTRONICS", "ASSEMBLY"}
        assert kind["stages"]
        assert set(kind["stages"]) <= stages, kind["code"]
        assert kind["usual"] in USUAL
        assert kind["origins"]
    assert {k["usual"] for k in kinds} == USUAL


def test_every_stage_and_every_bench_can_find_its_defects() -> None:
    kinds = load("defects")["kinds"]
    for stage in load("shop")["stages"]:
        assert sum(stage["code"] in k["stages"] for k in kinds) >= 3, stage["code"]
    for branch, stage in {
        (o["branch"], o["stage"]) for n in MODELS for o in operations(load(n))
    }:
        found = [k for k in kinds if branch in k["branches"] and stage in k["stages"]]
        assert len(found) >= 3, (branch, stage)
