"""Where the frets go, what a string sounds and how hard it pulls."""

import math
import re

MOST_FRETS = 100

_NOTE = re.compile(r"([A-G])(#{0,2}|b{0,2}|♯|♭)(-?[0-9]{1,2})")
_SEMITONE = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_SHIFT = {"#": 1, "♯": 1, "b": -1, "♭": -1}
_A4_HZ = 440.0
_A4_KEY = 69
_LAST_KEY = 127


def positions_mm(scale_mm: float, count: int) -> tuple[float, ...]:
    """Give the distance of each fret from the nut.

    Parameters
    ----------
    scale_mm : float
        Scale length, nut to the uncompensated bridge, in mm; more than 0.
    count : int
        How many frets, 0 to 100.

    Returns
    -------
    tuple of float
        Distances in mm from the nut (not from fret to fret, where errors would add
        up), the first fret first.

    Raises
    ------
    ValueError
        If an argument is out of range.

    Notes
    -----
    Twelve equal semitones to the octave: ``scale * (1 - 2**(-n / 12))``. The bridge
    saddle stands further back than the scale length by its compensation, which depends
    on string and action and is not part of this. The old shop rule of 17.817 taken
    step by step differs from this by less than 0.003 mm, the rule of 18 by 2 to 3 mm.

    References
    ----------
    Equal temperament; the divisor of the shop rule is ``1 / (1 - 2**(-1/12))`` =
    17.817 153 7…

    Examples
    --------
    >>> [round(place, 2) for place in positions_mm(628.65, 3)]
    [35.28, 68.59, 100.02]
    """
    _positive("scale_mm", scale_mm)
    if not 0 <= count <= MOST_FRETS:
        raise ValueError(f"count must be from 0 to {MOST_FRETS}, got {count}")
    return tuple(scale_mm * (1 - 2 ** (-fret / 12)) for fret in range(1, count + 1))


def frequency_hz(note: str) -> float:
    """Give the frequency of a note in equal temperament, A4 = 440 Hz.

    Parameters
    ----------
    note : str
        Letter A to G in upper case, sharps ``#`` or flats ``b`` (two at most), octave;
        C4 is middle C. From C-1 to G9.

    Returns
    -------
    float
        Frequency in Hz.

    Raises
    ------
    ValueError
        If this is no such note.

    References
    ----------
    ISO 16:1975, standard tuning frequency: A4 = 440 Hz. Numbering of keys as in MIDI,
    A4 = 69 (both from memory).

    Examples
    --------
    >>> round(frequency_hz("E2"), 3), round(frequency_hz("Bb2"), 3)
    (82.407, 116.541)
    """
    found = _NOTE.fullmatch(note)
    if not found:
        raise ValueError(f"note must be like A4, C#3 or Bb2, got {note[:12]!r}")
    letter, shifts, octave = found.groups()
    key = (
        12 * (int(octave) + 1)
        + _SEMITONE[letter]
        + sum(_SHIFT[mark] for mark in shifts)
    )
    if not 0 <= key <= _LAST_KEY:
        raise ValueError(f"note must be from C-1 to G9, got {note!r}")
    return _A4_HZ * 2 ** ((key - _A4_KEY) / 12)


def cents(frequency_hz: float, reference_hz: float) -> float:
    """Say how far a tone is from another, in hundredths of a semitone.

    Parameters
    ----------
    frequency_hz : float
        The tone heard, in Hz; more than 0.
    reference_hz : float
        The tone wanted, in Hz; more than 0.

    Returns
    -------
    float
        Cents; positive is sharp, negative is flat.

    Raises
    ------
    ValueError
        If a frequency is not more than 0.

    References
    ----------
    A. J. Ellis (1885), "On the musical scales of various nations", Journal of the
    Society of Arts 33: ``1200 * log2(f2 / f1)`` (from memory).

    Examples
    --------
    >>> cents(880, 440), round(cents(82.0, 82.4069), 1)
    (1200.0, -8.6)
    """
    _positive("frequency_hz", frequency_hz)
    _positive("reference_hz", reference_hz)
    return 1200 * (math.log2(frequency_hz) - math.log2(reference_hz))


def string_tension_n(
    unit_mass_kg_m: float, scale_mm: float, frequency_hz: float
) -> float:
    """Give the pull of a string that is tuned to a frequency.

    Parameters
    ----------
    unit_mass_kg_m : float
        Mass per length of the string in kg/m; more than 0. For a wound string it is
        the maker's figure, not reckoned from the diameter.
    scale_mm : float
        Speaking length in mm; more than 0.
    frequency_hz : float
        Frequency of the open string in Hz; more than 0.

    Returns
    -------
    float
        Tension in N.

    Raises
    ------
    ValueError
        If an argument is not more than 0.

    Notes
    -----
    The ideal string, without stiffness: ``T = m * (2 * L * f)**2``.

    References
    ----------
    M. Mersenne (1636), Harmonie universelle, laws of the vibrating string (from
    memory).

    Examples
    --------
    A plain string of 0.010 in on a scale of 25.5 in, tuned to E4:

    >>> round(string_tension_n(0.000397765, 647.7, 329.6276), 1)
    72.5
    """
    _positive("unit_mass_kg_m", unit_mass_kg_m)
    _positive("scale_mm", scale_mm)
    _positive("frequency_hz", frequency_hz)
    speed_m_s = 2 * (scale_mm / 1000) * frequency_hz
    return unit_mass_kg_m * speed_m_s * speed_m_s


def _positive(name: str, value: float) -> None:
    if not (math.isfinite(value) and value > 0):
        raise ValueError(f"{name} must be finite and more than 0, got {value}")
