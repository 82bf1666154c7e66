"""How does a defect get on record, how is it decided, and what is held with it?"""

from travelers.quality.actions.containing import Asked, contain, let_go
from travelers.quality.actions.defects import decide, report_defect

__all__ = ["Asked", "contain", "decide", "let_go", "report_defect"]
