"""What is typed when a room's air or the moisture of wood is read?"""

from travelers.planning.forms.air import AirForm
from travelers.planning.forms.moisture import MeterForm, OvenForm

__all__ = ["AirForm", "MeterForm", "OvenForm"]
