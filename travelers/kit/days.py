"""When do the days of a shop begin and end?"""

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo


def start_of(day: date, zone: ZoneInfo) -> datetime:
    """Give the first moment of a day."""
    return datetime.combine(day, time.min, zone)


def span_of(first: date, last: date, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """Give the first moment of a day, and the first after another."""
    return start_of(first, zone), start_of(last + timedelta(days=1), zone)
