"""How does the demo come about?"""

from travelers.demo.actions.loading import load_demo

__all__ = ["load_demo"]
