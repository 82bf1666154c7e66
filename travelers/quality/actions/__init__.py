"""How does a defect get on record with its photos, and how is it decided?"""

from travelers.quality.actions.defects import decide, report_defect

__all__ = ["decide", "report_defect"]
