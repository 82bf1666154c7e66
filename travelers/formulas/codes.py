"""What the short code on a tag says, and whether it was read whole."""

import re
from collections.abc import Iterator, Mapping
from enum import StrEnum
from types import MappingProxyType

from stdnum.iso7064 import mod_37_36

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""The 32 characters of a code: no I, L, O or U, which a hand confuses."""

KINDS: Mapping[str, str] = MappingProxyType(
    {
        "P": "part",
        "W": "piece",
        "S": "plank set",
        "K": "plank",
        "H": "station",
        "G": "gauge",
        "B": "batch",
        "Q": "order",
        "C": "command",
        "D": "defect kind",
        "Y": "gauge study",
    }
)
"""The first character of a code: what sort of thing the tag hangs on."""

DIGITS = 5
LENGTH = 1 + DIGITS + 2
LAST_NUMBER = len(ALPHABET) ** DIGITS - 1

LONGEST_TEXT = 512
"""More text than this is not looked into; a printed link has less than 100."""

_CONFUSED = str.maketrans("OILU", "011V")
_SEPARATORS = str.maketrans(
    dict.fromkeys("- \u00a0\u2010\u2011\u2012\u2013\u2014\u2212")
)
_ISO_TEXT = re.compile(r"[0-9A-Z]+")
# The double scan HTTPS://HOST/T/CODEHTTPS://HOST/T/CODE must not pass for its second
# half, hence no empty segment in the path.
_SEGMENT = r"[^\s/\\?#]+"
_URL = re.compile(
    r"https?://"
    r"(?:[^\s/\\?#@:\[\]]+|\[[0-9a-f:.]+\])(?::[0-9]{1,5})?"
    rf"(?:/{_SEGMENT})*?/t/(?P<code>{_SEGMENT})/?(?:[?#].*)?",
    re.IGNORECASE | re.ASCII,
)
_NOT_FOR_QR = re.compile(r"[^0-9A-Z $%*+\-./:]")


class Fault(StrEnum):
    """Why a text is not a tag code."""

    EMPTY = "empty"
    TOO_LONG = "too_long"
    FOREIGN = "foreign"
    TOO_SHORT = "too_short"
    TOO_LONG_BY = "too_long_by"
    CHECK = "check"


class NotACode(ValueError):
    """A text was read that is not a tag code.

    Attributes
    ----------
    reason : Fault
        ``too_long`` is more text than any tag carries (it was not looked into);
        ``too_long_by`` is a code with `by` characters too many.
    by : int
        How many characters are missing or too many; 0 for the other reasons.
    """

    def __init__(self, message: str, *, reason: Fault, by: int = 0) -> None:
        super().__init__(message)
        self.reason = reason
        self.by = by


def make(number: int, kind: str = "P") -> str:
    """Make the code of a tag from its running number.

    The code has 8 characters: the kind, five digits to the base 32, a salt, and a
    check character by ISO 7064 MOD 37,36.

    Parameters
    ----------
    number : int
        Running number within the kind, 0 to 33 554 431 (`LAST_NUMBER`).
    kind : str
        One of `KINDS`.

    Returns
    -------
    str
        The bare code in upper case.

    Raises
    ------
    ValueError
        If the number is out of range or the kind unknown.

    Notes
    -----
    MOD 37,36 may give any of 36 check characters, four of which (I, L, O, U) a code
    does not use. The salt is the first character of the alphabet whose check character
    falls outside these four. Since two salts never share a check character, one of the
    first five will do: every code ends in a salt from 0 to 4 and its check character.

    References
    ----------
    ISO/IEC 7064:2003, Check character systems, MOD 37,36.

    Examples
    --------
    >>> make(1)
    'P000010F'
    >>> make(33_554_431, "W")
    'WZZZZZ1M'
    """
    if kind not in KINDS:
        raise ValueError(f"kind must be one of {', '.join(KINDS)}, got {kind!r}")
    if not 0 <= number <= LAST_NUMBER:
        raise ValueError(f"number must be from 0 to {LAST_NUMBER}, got {number}")
    body = kind + _digits(number)
    return next(
        body + salt + check
        for salt in ALPHABET
        if (check := check_character(body + salt)) in ALPHABET
    )


def check_character(body: str) -> str:
    """Give the ISO 7064 MOD 37,36 check character of a text.

    Parameters
    ----------
    body : str
        One or more of 0-9 and A-Z, of any length.

    Returns
    -------
    str
        One of 0-9 and A-Z; it may be I, L, O or U, which `make` avoids.

    Raises
    ------
    ValueError
        If the body is empty or has other characters.

    References
    ----------
    ISO/IEC 7064:2003, Check character systems, MOD 37,36.

    Examples
    --------
    >>> check_character("A12425GABC1234002")
    'M'
    """
    if not _ISO_TEXT.fullmatch(body):
        raise ValueError(f"body must be one or more of 0-9 A-Z, got {_cut(body)}")
    return mod_37_36.calc_check_digit(body)


def is_right(code: str) -> bool:
    """Say whether the last character of a text checks those before it.

    Parameters
    ----------
    code : str
        Any text. Only 0-9 and A-Z, two characters or more, can be right.

    Returns
    -------
    bool
        True if the text ends in its ISO 7064 MOD 37,36 check character. This does not
        yet say that the text is a tag code: that is for `parse`.

    References
    ----------
    ISO/IEC 7064:2003, Check character systems, MOD 37,36.

    Examples
    --------
    >>> is_right("A12425GABC1234002M"), is_right("A12425GABC1234020M")
    (True, False)
    """
    if len(code) < 2 or not _ISO_TEXT.fullmatch(code):
        return False
    return mod_37_36.checksum(code) == 1


def parse(text: str) -> str:
    """Take the code out of what a scanner sent or a hand typed.

    Parameters
    ----------
    text : str
        A link ``https://HOST/T/CODE`` to whatever host, or the bare code; any case,
        with hyphens or spaces between the characters. A typed O stands for 0, I and L
        for 1, U for V.

    Returns
    -------
    str
        The bare code, 8 characters in upper case, just as `make` made it.

    Raises
    ------
    NotACode
        If the text is not a tag code; `reason` says why.

    Notes
    -----
    The host is not looked at, so that old paper survives a change of host; the link is
    never followed. A code whose check character is right but whose salt is not the one
    that `make` would choose was never printed, and is refused as ``check``: this
    catches nearly half of the double errors that slip through the check character. MOD
    37,36 finds every single wrong character, but not every swap of neighbours: of a
    thousand swaps about one is read as another code.

    References
    ----------
    ISO/IEC 7064:2003, Check character systems, MOD 37,36.

    Examples
    --------
    >>> parse("https://tags.example/t/p000-010f?from=tablet")
    'P000010F'
    >>> parse("poooo 1of")
    'P000010F'
    >>> parse("P000010G")
    Traceback (most recent call last):
        ...
    travelers.formulas.codes.NotACode: text must be a tag code, got 'P000010G'
    """
    code = _shaped(text)
    if not is_right(code):
        raise _fault(text, Fault.CHECK)
    if code[0] not in KINDS:
        raise _fault(text, Fault.FOREIGN)
    if not _is_made(code):
        raise _fault(text, Fault.CHECK)
    return code


def number_of(code: str) -> int:
    """Give the running number that a code was made from.

    Parameters
    ----------
    code : str
        A bare code, as `make` or `parse` gives it.

    Returns
    -------
    int
        The number within its kind, 0 to `LAST_NUMBER`.

    Raises
    ------
    NotACode
        If the text is no bare code.

    Examples
    --------
    >>> number_of(make(417, "G"))
    417
    """
    return _number(parse(code)[1 : 1 + DIGITS])


def squashed(text: str) -> str:
    """Write what may be a piece of a code as codes are written.

    Parameters
    ----------
    text : str
        What was typed, of any length.

    Returns
    -------
    str
        The text in upper case without hyphens and spaces, with O as 0, I and L as 1
        and U as V. Whether any code has it is for the caller to see.

    Examples
    --------
    >>> squashed("p0o0-01")
    'P00001'
    """
    return text.translate(_SEPARATORS).upper().translate(_CONFUSED)


def close_codes(text: str) -> tuple[str, ...]:
    """List the codes that a mistyped code may have been meant to be.

    Parameters
    ----------
    text : str
        What was typed, in any form that `parse` takes.

    Returns
    -------
    tuple of str
        In alphabetical order, all codes that differ from the text by one changed
        character or by one swap of neighbours. Empty if the text is right already or
        has not the shape of a code. Whether such a tag exists is for the caller to see.

    Examples
    --------
    >>> "P000010F" in close_codes("P00001F0")
    True
    >>> close_codes("P000010F"), close_codes("mahogany boards")
    ((), ())
    """
    try:
        code = _shaped(text)
    except NotACode:
        return ()
    if is_right(code) and _is_made(code):
        return ()
    return tuple(sorted({near for near in _neighbours(code) if _is_made(near)}))


def grouped(code: str) -> str:
    """Write a code in two groups of four, for eyes and lips.

    Parameters
    ----------
    code : str
        A bare code of 8 characters.

    Returns
    -------
    str
        The code with a hyphen in the middle.

    Raises
    ------
    ValueError
        If there are not 8 characters.

    Examples
    --------
    >>> grouped("P000010F")
    'P000-010F'
    """
    if len(code) != LENGTH:
        raise ValueError(f"code must have {LENGTH} characters, got {_cut(code)}")
    return f"{code[:4]}-{code[4:]}"


def link(code: str, base: str = "HTTPS://HOST") -> str:
    """Write the text that goes into the QR symbol of a tag.

    Parameters
    ----------
    code : str
        A tag code.
    base : str
        Scheme, host and perhaps a path, in any case; it is printed in upper case, so
        a path in it must not depend on case.

    Returns
    -------
    str
        A link in upper case, fit for the alphanumeric mode of a QR symbol.

    Raises
    ------
    NotACode
        If this is not a tag code.
    ValueError
        If the base is no web address, or has a character outside the 45 of that mode.

    References
    ----------
    ISO/IEC 18004, QR code, alphanumeric mode: 0-9, A-Z, space and ``$%*+-./:``.

    Examples
    --------
    >>> link("P000010F", "https://tags.example/")
    'HTTPS://TAGS.EXAMPLE/T/P000010F'
    """
    # Some letters outside ASCII turn into ASCII ones in upper case: look before.
    printed = base.upper() if base.isascii() else base
    if _NOT_FOR_QR.search(printed):
        raise ValueError(
            f"base must have only 0-9 A-Z space $ % * + - . / : got {_cut(base)}"
        )
    text = f"{printed.rstrip('/')}/T/{parse(code)}"
    if not _URL.fullmatch(text):
        raise ValueError(f"base must be like HTTPS://HOST, got {_cut(base)}")
    return text


def _shaped(text: str) -> str:
    """Give the eight characters of the text, right or not."""
    if len(text) > LONGEST_TEXT:
        raise _fault(text, Fault.TOO_LONG, by=len(text) - LONGEST_TEXT)
    typed = text.strip()
    if ":" in typed or "/" in typed:
        typed = _code_in_url(typed)
    typed = typed.translate(_SEPARATORS)
    if not typed:
        raise _fault(text, Fault.EMPTY)
    if not (typed.isascii() and typed.isalnum()):
        raise _fault(text, Fault.FOREIGN)
    if len(typed) < LENGTH:
        raise _fault(text, Fault.TOO_SHORT, by=LENGTH - len(typed))
    if len(typed) > LENGTH:
        raise _fault(text, Fault.TOO_LONG_BY, by=len(typed) - LENGTH)
    return typed.upper().translate(_CONFUSED)


def _code_in_url(text: str) -> str:
    found = _URL.fullmatch(text) if text.isprintable() else None
    if found is None:
        raise _fault(text, Fault.FOREIGN)
    return found["code"]


def _is_made(code: str) -> bool:
    """Say whether `make` can have made these eight characters."""
    kind, digits = code[0], code[1 : 1 + DIGITS]
    return kind in KINDS and make(_number(digits), kind) == code


def _neighbours(code: str) -> Iterator[str]:
    for place, character in enumerate(code):
        for other in ALPHABET:
            if other != character:
                yield code[:place] + other + code[place + 1 :]
    for place in range(len(code) - 1):
        yield code[:place] + code[place + 1] + code[place] + code[place + 2 :]


def _digits(number: int) -> str:
    digits = ""
    for _ in range(DIGITS):
        number, digit = divmod(number, len(ALPHABET))
        digits = ALPHABET[digit] + digits
    return digits


def _number(digits: str) -> int:
    number = 0
    for digit in digits:
        number = number * len(ALPHABET) + ALPHABET.index(digit)
    return number


def _fault(text: str, reason: Fault, by: int = 0) -> NotACode:
    message = f"text must be a tag code, got {_cut(text)}"
    return NotACode(message, reason=reason, by=by)


def _cut(text: str) -> str:
    """Quote the text for a message, never more than a line of it."""
    if len(text) <= 40:
        return repr(text)
    return f"{text[:40]!r}… ({len(text)} characters)"
