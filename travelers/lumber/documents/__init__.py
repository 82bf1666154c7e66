"""What is drawn of the wood?"""

from travelers.lumber.documents.air import AirWords, air_chart

__all__ = ["AirWords", "air_chart"]
