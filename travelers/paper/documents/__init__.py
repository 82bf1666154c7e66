"""How is each paper printed?  A frozen dataclass in, the bytes of a PDF out."""

from travelers.paper.documents.labels import badges, labels, tags
from travelers.paper.documents.stations import station_cards
from travelers.paper.documents.travelers import Own, travelers

__all__ = ["Own", "badges", "labels", "station_cards", "tags", "travelers"]
