"""Which screens does the shop have?"""

from travelers.shop.views.entry import here, sign_in, sign_out
from travelers.shop.views.people import badge_revoke, pause_lift, people, person
from travelers.shop.views.skills import skill, skill_stop, skills
from travelers.shop.views.tablets import tablet, tablet_revoke, tablets

__all__ = [
    "badge_revoke",
    "here",
    "pause_lift",
    "people",
    "person",
    "sign_in",
    "sign_out",
    "skill",
    "skill_stop",
    "skills",
    "tablet",
    "tablet_revoke",
    "tablets",
]
