"""What is written down of the paper that goes out, and of what comes back on it?"""

from travelers.paper.actions.entry import enter_deeds, let_pass
from travelers.paper.actions.mailing import mail_digest
from travelers.paper.actions.sheets import record_sheets

__all__ = ["enter_deeds", "let_pass", "mail_digest", "record_sheets"]
