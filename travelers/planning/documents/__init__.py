"""What do the rooms look like over the coming months, and the flow, as pictures?"""

from travelers.planning.documents.ages import AgesWords, ages_chart
from travelers.planning.documents.course import CourseWords, course_chart
from travelers.planning.documents.places import PlacesWords, places_chart
from travelers.planning.documents.weeks import WeeksWords, weeks_chart

__all__ = [
    "AgesWords",
    "CourseWords",
    "PlacesWords",
    "WeeksWords",
    "ages_chart",
    "course_chart",
    "places_chart",
    "weeks_chart",
]
