"""What does every app need that is not of the trade?

A verb or a rule says no with a :class:`~travelers.kit.refusals.Refusal`; a view
leaves through :func:`~travelers.kit.pages.show`; the middleware turns what was
refused into a page, a piece or JSON; ``words`` says moments, spans and closed
lists in the reader's language; ``people`` guards the doors; ``drawing`` makes
the product's own pictures.  Nothing here knows wood, necks or orders.
"""
