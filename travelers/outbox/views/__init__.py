"""Which screens and answers does the outbox have?"""

from travelers.outbox.views.due import due
from travelers.outbox.views.intake import intake
from travelers.outbox.views.late import late, seen
from travelers.outbox.views.worker import worker

__all__ = ["due", "intake", "late", "seen", "worker"]
