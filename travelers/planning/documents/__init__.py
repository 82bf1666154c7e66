"""What do the rooms look like over the coming months, as a picture?"""

from travelers.planning.documents.places import PlacesWords, places_chart

__all__ = ["PlacesWords", "places_chart"]
