"""Who and what is in the shop, and what has it decided for itself?"""

from travelers.shop.queries.certificates import Certificate, find_certificate
from travelers.shop.queries.house import (
    GaugeRow,
    find_gauge,
    gauges,
    overdue_gauges,
    workshop_air,
)
from travelers.shop.queries.people import (
    PersonPage,
    PersonRow,
    Skill,
    TabletRow,
    find_person,
    find_tablet,
    free_number,
    get_station,
    is_number_free,
    people,
    people_to_give,
    person_page,
    stations_to_choose,
    tablets,
)

__all__ = [
    "Certificate",
    "GaugeRow",
    "PersonPage",
    "PersonRow",
    "Skill",
    "TabletRow",
    "find_certificate",
    "find_gauge",
    "find_person",
    "find_tablet",
    "free_number",
    "gauges",
    "get_station",
    "is_number_free",
    "overdue_gauges",
    "people",
    "people_to_give",
    "person_page",
    "stations_to_choose",
    "tablets",
    "workshop_air",
]
