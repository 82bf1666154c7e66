"""Is a code read right whose keys went through another keyboard layout?"""

import random
import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from travelers.formulas import codes, layouts

# Where each key lies on the keyboard, plain and with Shift, layout by layout (from
# memory). A scanner presses the places of the US layout; the tablet says its own signs.
LAYOUTS = {
    "us": (
        "1234567890- qwertyuiop asdfghjkl; zxcvbnm,./",
        "!@#$%^&*()_ QWERTYUIOP ASDFGHJKL: ZXCVBNM<>?",
    ),
    "fr": (
        "&é\"'(-è_çà) azertyuiop qsdfghjklm wxcvbn,;:!",
        "1234567890° AZERTYUIOP QSDFGHJKLM WXCVBN?./§",
    ),
    "de": (
        "1234567890ß qwertzuiop asdfghjklö yxcvbnm,.-",
        '!"§$%&/()=? QWERTZUIOP ASDFGHJKLÖ YXCVBNM;:_',
    ),
}
CODES = st.builds(
    codes.make, st.integers(0, codes.LAST_NUMBER), st.sampled_from([*codes.KINDS])
)
HOSTS = ("HTTPS://SHOP.LAN", "HTTP://10.0.0.7:8000", "HTTPS://TRAVELERS-2.EXAMPLE")


def typed(text: str, layout: str, *, caps: bool = False, shift: bool = True) -> str:
    """Type a text as a scanner set to US does, on a tablet of another layout."""
    said = ""
    for character in text:
        shifted = character in LAYOUTS["us"][1]
        place = LAYOUTS["us"][int(shifted)].index(character)
        sign = LAYOUTS[layout][int(shifted and shift)][place]
        said += sign.swapcase() if caps and sign in string.ascii_letters else sign
    return said


def read(text: str) -> str | None:
    try:
        return codes.parse(text)
    except codes.NotACode:
        return layouts.meant(text)


@pytest.mark.point(29)
@given(CODES, st.sampled_from(["us", "fr"]), st.booleans(), st.booleans())
def test_a_bare_code_is_read_on_us_and_french_keyboards(
    code: str, layout: str, caps: bool, shift: bool
) -> None:
    assert read(typed(code, layout, caps=caps, shift=shift)) == code


@pytest.mark.point(29)
@given(CODES, st.sampled_from(HOSTS), st.sampled_from([*LAYOUTS]), st.booleans())
def test_a_link_is_read_on_every_keyboard(
    code: str, host: str, layout: str, caps: bool
) -> None:
    text = typed(codes.link(code, host), layout, caps=caps)
    assert read(text) == code


@pytest.mark.point(29)
@given(CODES)
def test_a_link_that_lost_its_shift_is_read(code: str) -> None:
    link = codes.link(code, "HTTPS://SHOP.LAN")
    assert read(typed(link, "us", shift=False)) == code


@pytest.mark.point(29)
@given(CODES)
def test_y_for_z_is_no_more_than_a_guess(code: str) -> None:
    said = typed(code, "de")
    if said == code:
        assert read(said) == code
    elif read(said) is None:
        # Two letters that were swapped back may still be another's.
        assert code in layouts.perhaps(said)
        assert layouts.meant(said) is None


def test_a_guess_is_hardly_ever_missed_by_a_right_check() -> None:
    """Of codes with a Y or Z some swaps pass the check: counted, under one in 50."""
    chance = random.Random(29)
    made = [codes.make(chance.randrange(32**5)) for _ in range(4000)]
    swapped = [code for code in made if typed(code, "de") != code]
    passed = [code for code in swapped if read(typed(code, "de")) is not None]
    assert len(swapped) > 800
    assert len(passed) < len(swapped) / 50


@pytest.mark.parametrize(
    "text",
    ["", "P000010F", "P000010G", "4006381333931", "https://other.example/x", "🎸" * 8],
)
def test_what_is_right_or_no_code_by_any_layout_is_not_mended(text: str) -> None:
    assert layouts.meant(text) is None


@given(st.text(max_size=60))
def test_no_text_breaks_the_mending(text: str) -> None:
    found = layouts.meant(text)
    assert found is None or codes.parse(found) == found
    assert {codes.parse(code) for code in layouts.perhaps(text)} <= {
        *layouts.perhaps(text)
    }


def test_megabytes_are_not_looked_into() -> None:
    assert layouts.meant("é" * 5_000_000) is None
    assert layouts.perhaps("é" * 5_000_000) == ()
