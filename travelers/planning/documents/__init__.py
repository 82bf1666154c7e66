"""What do rooms, stations, releases and the flow look like, as pictures?"""

from travelers.planning.documents.ages import AgesWords, ages_chart
from travelers.planning.documents.course import CourseWords, course_chart
from travelers.planning.documents.fill import FillWords, fill_chart
from travelers.planning.documents.load import LoadWords, load_chart
from travelers.planning.documents.places import PlacesWords, places_chart
from travelers.planning.documents.starts import StartsWords, starts_chart
from travelers.planning.documents.weeks import WeeksWords, weeks_chart

__all__ = [
    "AgesWords",
    "CourseWords",
    "FillWords",
    "LoadWords",
    "PlacesWords",
    "StartsWords",
    "WeeksWords",
    "ages_chart",
    "course_chart",
    "fill_chart",
    "load_chart",
    "places_chart",
    "starts_chart",
    "weeks_chart",
]
