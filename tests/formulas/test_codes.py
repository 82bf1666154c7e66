"""Is a code made, checked and read as ISO 7064 and the scheme of the tags say?"""

import random
import re
import string
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from travelers.formulas import codes, layouts
from travelers.formulas.codes import Fault, NotACode

ISO_CHARACTERS = string.digits + string.ascii_uppercase
ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
NUMBERS = st.integers(min_value=0, max_value=32**5 - 1)
KINDS = st.sampled_from("PWSKHGBQCDY")
MADE = st.builds(codes.make, NUMBERS, KINDS)


def reason_for(text: str) -> Fault:
    with pytest.raises(NotACode) as caught:
        codes.parse(text)
    return caught.value.reason


def fault_of(text: str) -> Fault | None:
    try:
        codes.parse(text)
    except NotACode as refused:
        return refused.reason
    return None


def sample(count: int) -> list[str]:
    chance = random.Random(7064)
    return [
        codes.make(chance.randrange(32**5), chance.choice("PWSKHGQ"))
        for _ in range(count)
    ]


# Published values first. The first row is the doctest of python-stdnum 2.2, module
# stdnum.iso7064.mod_37_36; the others were computed with that library apart from this
# project. The standard itself was not seen.
ISO_7064 = [
    ("A12425GABC1234002", "M"),
    ("GTR2026000123", "2"),
    ("BODY0042", "4"),
    ("NECK7QX19", "F"),
    ("A1", "W"),
    ("WO000001", "2"),
    ("ZZZZ9999", "6"),
    ("FB24750R12", "O"),
    ("0", "2"),
    ("OP0075A", "1"),
    ("G123489654321", "G"),
]


@pytest.mark.parametrize(("body", "check"), ISO_7064)
def test_the_check_character_is_that_of_iso_7064(body: str, check: str) -> None:
    assert codes.check_character(body) == check
    assert codes.is_right(body + check)


def long_hand(body: str) -> str:
    """Reckon MOD 37,36 by the hybrid recursion, as written out in ISO 7064.

    From memory: p = 36; for each character p = (p + value) mod 36, or 36 if that is 0,
    then p = 2 p mod 37; the check character makes (p + check) mod 36 equal to 1.
    """
    carried = 36
    for character in body:
        carried = (carried + ISO_CHARACTERS.index(character)) % 36 or 36
        carried = carried * 2 % 37
    return ISO_CHARACTERS[(1 - carried) % 36]


@given(st.text(ISO_CHARACTERS, min_size=1, max_size=60))
def test_the_check_character_agrees_with_the_recursion_by_hand(body: str) -> None:
    assert codes.check_character(body) == long_hand(body)


# Strings and counts of an exhaustive trial with python-stdnum 2.2, apart from this
# project: single substitutions over 0-9 A-Z, swaps of unequal neighbours, none missed.
@pytest.mark.parametrize(
    ("full", "substitutions", "swaps"),
    [
        ("BODY00424", 315, 7),
        ("NECK7QX19F", 350, 9),
        ("WO0000012", 315, 4),
        ("TR261000423", 385, 8),
    ],
)
def test_no_single_error_passes_as_in_the_exhaustive_trial(
    full: str, substitutions: int, swaps: int
) -> None:
    wrong = list(changed(full, ISO_CHARACTERS))
    swapped = list(swapped_once(full))
    assert (len(wrong), len(swapped)) == (substitutions, swaps)
    assert not any(codes.is_right(text) for text in wrong + swapped)


def changed(text: str, alphabet: str) -> list[str]:
    return [
        text[:place] + other + text[place + 1 :]
        for place, character in enumerate(text)
        for other in alphabet
        if other != character
    ]


def swapped_once(text: str) -> list[str]:
    return [
        text[:place] + second + first + text[place + 2 :]
        for place, (first, second) in enumerate(pairwise(text))
        if first != second
    ]


# The scheme.


@given(NUMBERS, KINDS)
def test_a_code_is_kind_number_salt_and_check(number: int, kind: str) -> None:
    code = codes.make(number, kind)
    assert len(code) == 8
    assert set(code) <= set(ALPHABET)
    assert code[0] == kind
    assert sum(ALPHABET.index(c) * 32**i for i, c in enumerate(code[5:0:-1])) == number
    assert long_hand(code[:7]) == code[7]


@given(NUMBERS, KINDS)
def test_the_salt_is_the_first_whose_check_is_easy_to_read(
    number: int, kind: str
) -> None:
    code = codes.make(number, kind)
    earlier = ALPHABET[: ALPHABET.index(code[6])]
    assert all(long_hand(code[:6] + salt) in "ILOU" for salt in earlier)
    assert code[6] in "01234"


@given(st.lists(NUMBERS, unique=True, min_size=2, max_size=50))
def test_two_numbers_never_share_a_code(numbers: list[int]) -> None:
    made = {codes.make(number, kind) for number in numbers for kind in codes.KINDS}
    assert len(made) == len(numbers) * len(codes.KINDS)


def test_the_kinds_are_these() -> None:
    assert dict(codes.KINDS) == {
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


@pytest.mark.parametrize("number", [-1, 32**5, 10**30])
def test_a_number_out_of_range_is_refused_by_name_and_value(number: int) -> None:
    with pytest.raises(ValueError, match=rf"number .* 0 to 33554431, got {number}"):
        codes.make(number)


@pytest.mark.parametrize("kind", ["X", "p", "", "PW"])
def test_an_unknown_kind_is_refused(kind: str) -> None:
    with pytest.raises(ValueError, match=f"kind must be one of .* got '{kind}'"):
        codes.make(1, kind)


# Reading.


@given(MADE)
def test_what_was_made_is_read_back(code: str) -> None:
    assert codes.parse(code) == code
    assert codes.is_right(code)


@given(MADE, st.sampled_from(["HTTPS://HOST", "http://10.0.0.7:8000", "https://a.b/c"]))
def test_a_link_is_read_back_whatever_the_host(code: str, base: str) -> None:
    assert codes.parse(codes.link(code, base)) == code


@given(MADE, st.data())
@pytest.mark.point(29, 34)
def test_reading_forgives_case_spaces_hyphens_and_confusable_letters(
    code: str, data: st.DataObject
) -> None:
    typed = ""
    for character in code:
        alike = {"0": "0Oo", "1": "1IiLl", "V": "VvUu"}.get(character, character)
        typed += data.draw(st.sampled_from(alike + alike.lower()))
        typed += data.draw(st.sampled_from(["", "", "-", " ", "\u2011", "\u00a0"]))
    assert codes.parse(f" \t{typed}\r\n") == code


@pytest.mark.parametrize(
    "text",
    [
        "HTTPS://HOST/T/P000010F",
        "https://host/t/p000010f",
        "http://tags.example:8443/T/P000010F",
        "https://[fe80::1]:8000/T/P000010F",
        "https://tags.example/T/P000010F/",
        "https://tags.example/T/P000010F?from=tablet&next=/T/W0000000",
        "https://tags.example/T/P000010F/?#top",
        "https://tags.example/shop/two/T/P000-010F",
        "https://gitarren-kö.example/T/P000010F",
        "  HTTPS://HOST/T/P000010F\r\n",
    ],
)
def test_a_link_in_any_dress_is_read(text: str) -> None:
    assert codes.parse(text) == "P000010F"


@pytest.mark.point(31)
@pytest.mark.parametrize(
    "text",
    [
        "javascript:alert(1)",
        "javascript://host/T/P000010F",
        "http://other/x",
        "http://other/x?to=/T/P000010F",
        "http://other/#/T/P000010F",
        "https:///T/P000010F",
        "https://who@host/T/P000010F",
        "ftp://host/T/P000010F",
        "http\u017f://host/T/P000010F",
        "https://host/T/P000010F/more",
        "https://host/T/",
        "https://host/T/P000%2D010F",
        "https://host\\T\\P000010F",
        "https://ho st/T/P000010F",
        "https://host/T/\x00P000010F",
        "HTTPS://HOST/T/P000010FHTTPS://HOST/T/W0000000",
        "/T/P000010F",
        "host/T/P000010F",
        "P000010F\x00",
        "P000\n010F",
        "P000\u200b010F",
        "\x1b[2JP000010F",
        "🎸🎸🎸🎸🎸🎸🎸🎸",
        "P000010🎸",
        "\N{CYRILLIC CAPITAL LETTER ER}000010F",
        "P\N{FULLWIDTH DIGIT ZERO}00010F",
        "P000010F;drop",
        "P000_010F",
        "<script>",
    ],
)
def test_what_is_not_ours_is_called_foreign(text: str) -> None:
    assert reason_for(text) is Fault.FOREIGN


@pytest.mark.parametrize("text", ["", " ", "\r\n", "---", " - "])
def test_nothing_typed_is_called_empty(text: str) -> None:
    assert reason_for(text) is Fault.EMPTY


def test_a_right_code_of_an_unknown_kind_is_foreign() -> None:
    body = "X0000100"
    right = body[:7] + long_hand(body[:7])
    assert codes.is_right(right)
    assert reason_for(right) is Fault.FOREIGN


def test_a_right_check_after_a_salt_that_was_not_needed_is_refused() -> None:
    assert codes.make(1)[6] == "0"
    for salt in ALPHABET[1:]:
        forged = "P00001" + salt + long_hand("P00001" + salt)
        assert codes.is_right(forged)
        assert reason_for(forged) is Fault.CHECK


@pytest.mark.point(31)
def test_every_wrong_character_in_200_codes_is_refused() -> None:
    for code in sample(200):
        assert not any(codes.is_right(t) for t in changed(code, ISO_CHARACTERS))
    for code in sample(40):
        assert {reason_for(text) for text in changed(code, ALPHABET)} == {Fault.CHECK}


def test_hardly_a_swap_of_neighbours_passes() -> None:
    """MOD 37,36 misses one swap in 180, counted; with salt and kind, one in 1000."""
    swaps = [text for code in sample(2000) for text in swapped_once(code)]
    assert len(swaps) > 10_000
    assert sum(map(codes.is_right, swaps)) < len(swaps) / 100
    assert sum(fault_of(text) is None for text in swaps) < len(swaps) / 500


@pytest.mark.point(31)
@pytest.mark.parametrize("code", sample(200))
def test_every_truncation_is_refused_and_says_how_much_is_missing(code: str) -> None:
    for kept in range(1, 8):
        for part in (code[:kept], code[-kept:]):
            with pytest.raises(NotACode) as caught:
                codes.parse(part)
            assert caught.value.reason is Fault.TOO_SHORT
            assert caught.value.by == 8 - kept


@pytest.mark.point(31)
@pytest.mark.parametrize("code", sample(200))
def test_no_scan_that_is_cut_off_or_run_together_is_read(code: str) -> None:
    """Of the code and of its link, from either end, and any two of their pieces.

    Only the link's last eight characters are a whole code again, and are right.
    """
    link = codes.link(code, "HTTPS://SHOP.LAN")
    whole = {code, link}
    for text in (code, link):
        pieces = {text[:kept] for kept in range(1, len(text))}
        pieces |= {text[kept:] for kept in range(1, len(text))}
        pieces |= {text + piece for piece in (*pieces, text)}
        pieces |= {piece + text for piece in pieces}
        read = {piece for piece in pieces - whole if fault_of(piece) is None}
        assert {codes.parse(piece) for piece in read} <= {code}
        assert not any(len(piece) < 8 for piece in read)
        assert not any(layouts.meant(piece) for piece in pieces - whole)


@pytest.mark.point(31)
@pytest.mark.parametrize("more", [1, 2, 8])
def test_too_many_characters_are_counted(more: int) -> None:
    with pytest.raises(NotACode) as caught:
        codes.parse("P000010F" + "P000010F"[:more])
    assert caught.value.reason is Fault.TOO_LONG_BY
    assert caught.value.by == more


@pytest.mark.parametrize("unit", ["P", " ", "🎸", "/", "https://host/T/", "\x00"])
def test_five_megabytes_are_refused_unread_and_not_repeated(unit: str) -> None:
    with pytest.raises(NotACode) as caught:
        codes.parse(unit * (5_000_000 // len(unit)))
    assert caught.value.reason is Fault.TOO_LONG
    assert len(str(caught.value)) < 300


@given(st.text(max_size=80))
def test_no_text_breaks_the_reading(text: str) -> None:
    assert fault_of(text) in {None, *Fault}


@given(st.text("/:T?#. htps[]@P0", max_size=512))
def test_slashes_without_end_are_read_in_no_time(text: str) -> None:
    assert reason_for("https://" + text) in Fault


def test_a_reason_is_a_word_for_machines() -> None:
    words = {str(reason) for reason in Fault}
    assert words == {
        "empty",
        "too_long",
        "foreign",
        "too_short",
        "too_long_by",
        "check",
    }


@pytest.mark.parametrize(
    "code",
    ["", "P", "p000010f", "P000010F ", "\N{FULLWIDTH LATIN CAPITAL LETTER A}1", "A-1W"],
)
def test_what_is_not_iso_text_is_never_right(code: str) -> None:
    assert not codes.is_right(code)


@pytest.mark.parametrize("body", ["", "a1", "A 1", "Ä", "\N{FULLWIDTH DIGIT ONE}"])
def test_there_is_no_check_character_for_other_text(body: str) -> None:
    with pytest.raises(ValueError, match="body must be one or more of 0-9 A-Z"):
        codes.check_character(body)


# What may have been meant.


@given(MADE, st.data())
def test_the_code_meant_is_among_the_close_ones(code: str, data: st.DataObject) -> None:
    swaps = [text for text in swapped_once(code) if fault_of(text)]
    wrong = data.draw(st.sampled_from(changed(code, ALPHABET) + swaps))
    assert code in codes.close_codes(wrong)
    assert code in codes.close_codes(f"https://host/t/{wrong.lower()}")


@pytest.mark.parametrize("code", sample(20))
def test_close_codes_are_all_and_only_one_error_away(code: str) -> None:
    wrong = code[:3] + ("0" if code[3] != "0" else "1") + code[4:]
    expected = set()
    for text in changed(wrong, ALPHABET) + swapped_once(wrong):
        try:
            expected.add(codes.parse(text))
        except NotACode:
            continue
    assert set(codes.close_codes(wrong)) == expected
    assert code in expected
    assert len(expected) < 16


@pytest.mark.parametrize("text", ["P000010F", "", "P00001", "http://other/x", "🎸" * 8])
def test_nothing_is_close_to_a_right_code_or_to_no_code(text: str) -> None:
    assert codes.close_codes(text) == ()


# Writing.


@given(MADE)
@pytest.mark.point(34)
def test_a_grouped_code_is_two_fours_and_is_read_back(code: str) -> None:
    assert re.fullmatch(r"[0-9A-Z]{4}-[0-9A-Z]{4}", codes.grouped(code))
    assert codes.parse(codes.grouped(code)) == code


@pytest.mark.parametrize("code", ["", "P000010", "P000-010F"])
def test_only_a_bare_code_is_grouped(code: str) -> None:
    with pytest.raises(ValueError, match="code must have 8 characters"):
        codes.grouped(code)


# The 45 characters of the alphanumeric mode: ISO/IEC 18004, table 5, as agreed by
# segno 1.6.6 and qrcode 8.2; the standard itself was not seen.
QR_ALPHANUMERIC = set("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:")


@given(MADE, st.sampled_from(["https://tags.example", "HTTP://10.0.0.7:8000/"]))
def test_a_link_fits_the_alphanumeric_mode(code: str, base: str) -> None:
    text = codes.link(code, base)
    assert set(text) <= QR_ALPHANUMERIC
    assert text == f"{base.upper().rstrip('/')}/T/{code}"


def test_a_link_needs_no_base_to_show_its_shape() -> None:
    assert codes.link("P000010F") == "HTTPS://HOST/T/P000010F"


@pytest.mark.parametrize(
    "base", ["HTTPS://HO_ST", "HTTPS://KÖ.EXAMPLE", "https://ho\u017ft"]
)
def test_a_base_outside_the_45_characters_is_refused(base: str) -> None:
    with pytest.raises(ValueError, match="base must have only"):
        codes.link("P000010F", base)


@pytest.mark.parametrize(
    "base", ["", "HOST", "FTP://HOST", "HTTPS://", "HTTPS://A B", "HTTPS://A:B"]
)
def test_a_base_that_no_browser_opens_is_refused(base: str) -> None:
    with pytest.raises(ValueError, match="base must be like"):
        codes.link("P000010F", base)


def test_a_wrong_code_gets_no_link() -> None:
    with pytest.raises(NotACode):
        codes.link("P000010G")
