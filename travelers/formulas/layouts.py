"""What did a scanner type, if the tablet reads its keys by another layout?"""

from collections.abc import Iterator

from travelers.formulas import codes
from travelers.formulas.codes import Fault, NotACode

# The keys that a tag's text can need, row by row, as a scanner set to the US layout
# presses them, and what French and German layouts make of the same keys. From memory;
# the plain layouts of common desktop systems.
_KEYS = "1234567890-qwertyuiopasdfghjkl;zxcvbnm,./"
_FRENCH = "&é\"'(-è_çà)azertyuiopqsdfghjklmwxcvbn,;:!"
_GERMAN = "1234567890ßqwertzuiopasdfghjklöyxcvbnm,.-"


def _table(typed: str) -> dict[int, str]:
    """Map what comes in to what was meant, in capitals; a colon is a shifted key."""
    meant = _KEYS.replace(";", ":").upper()
    pairs = list(zip(typed, meant, strict=True))
    plain = {ord(key): character for key, character in pairs}
    return {
        **{ord(key.upper()): character for key, character in pairs if key != "ß"},
        **plain,
    }


# A lost Shift turns the colon of an address into a semicolon, whatever the layout.
_READINGS = (
    # A French M with Shift lies where the scanner presses its own.
    {**_table(_FRENCH), ord("?"): "M"},
    _table(_GERMAN),
    {ord(";"): ":"},
)


def meant(text: str) -> str | None:
    """Give the code that a text stands for, if it can only be a matter of layout.

    Parameters
    ----------
    text : str
        What came in. Keys are read as a French or German layout reads those of a
        scanner set to the US one, or with Shift lost at the colon of an address.

    Returns
    -------
    str or None
        The bare code. None if the text is a code already, or has the shape of one and
        is merely wrong: which of two letters was meant is then for a person to say.

    Notes
    -----
    The check character and the salt must be right as well, see `codes.parse`. Every
    code ends in a digit and its check character, so that a French layout never leaves
    the shape of a code.

    References
    ----------
    Layouts from memory.

    Examples
    --------
    >>> meant("HTTPSM!!SHOP:LAN!T!Pàààà&àF")
    'P000010F'
    >>> meant("P000010F") is None
    True
    """
    if _fault(text) in (None, Fault.CHECK, Fault.TOO_LONG):
        return None
    return next(_readings(text), None)


def perhaps(text: str) -> tuple[str, ...]:
    """List the codes that a wrong one may stand for, by another layout.

    Parameters
    ----------
    text : str
        What came in.

    Returns
    -------
    tuple of str
        The bare codes; empty if the text is right, or no layout makes it so.

    References
    ----------
    Layouts from memory.

    Examples
    --------
    >>> codes.make(30), perhaps("P0000Z0R"), perhaps("P000010F")
    ('P0000Y0R', ('P0000Y0R',), ())
    """
    if _fault(text) in (None, Fault.TOO_LONG):
        return ()
    return tuple(dict.fromkeys(_readings(text)))


def _readings(text: str) -> Iterator[str]:
    for table in _READINGS:
        read = text.translate(table)
        if _fault(read) is None:
            yield codes.parse(read)


def _fault(text: str) -> Fault | None:
    try:
        codes.parse(text)
    except NotACode as refused:
        return refused.reason
    return None
