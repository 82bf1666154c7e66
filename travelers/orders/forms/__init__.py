"""What is typed when an order is made, a plank is cut or its cuts are planned?"""

from travelers.orders.forms.orders import CutForm, OrderForm, WeighForm
from travelers.orders.forms.plans import PlanForm

__all__ = ["CutForm", "OrderForm", "PlanForm", "WeighForm"]
