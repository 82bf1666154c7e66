"""How does the demo come about?"""

from travelers.demo.actions.loading import furnish, load_demo

__all__ = ["furnish", "load_demo"]
