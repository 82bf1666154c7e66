"""What do rooms and stations look like over the coming months, as a picture?"""

from travelers.planning.documents.load import LoadWords, load_chart
from travelers.planning.documents.places import PlacesWords, places_chart

__all__ = ["LoadWords", "PlacesWords", "load_chart", "places_chart"]
