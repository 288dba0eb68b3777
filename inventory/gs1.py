"""GS1's numbers and element strings. No Django here: text in, text out.

Sources: GS1's page on check digits and its table of application identifiers (read; worked numbers in
tests/outside/test_gs1.py); which identifiers go together, the characters of a batch and the 48 characters of one
symbol are from memory. A company prefix is GS1's to give; numbers that begin with 20 to 29 are a house's own.
"""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from stdnum import ean

SSCC, GTIN, CONTENT, BATCH, NET_KG, COUNT = "00", "01", "02", "10", "3103", "37"
FIXED = (SSCC, GTIN, CONTENT, NET_KG)  # their length is known, so nothing has to mark their end
ONE_CASE, BY_WEIGHT = 1, 9  # indicators of a GTIN-14: a grouping of the house's own; a measure that varies
MOST_CHARACTERS = 48
# A batch may hold these; brackets are left out, because they set the identifiers apart in print.
BATCH_MAY_HOLD = frozenset("!\"%&'*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz")
LONGEST_BATCH, MOST_COUNTED, HEAVIEST_G = 20, 99_999_999, 999_999


class NotGs1(ValueError):
    """A number or text that cannot be written so; the message says what and why."""


@dataclass(frozen=True)
class Element:
    """An application identifier with its data, e.g. ("10", "F26-1125-03")."""

    ai: str
    data: str


def with_check_digit(digits: str) -> str:
    """The digits with the check digit that completes them: GTIN, SSCC alike."""
    if not (digits.isascii() and digits.isdecimal()):
        raise NotGs1(f"Not all digits: {digits}")
    return digits + ean.calc_check_digit(digits)


def is_checked(digits: str) -> bool:
    """Whether the last digit is the check digit of those before it."""
    return digits.isascii() and digits.isdecimal() and len(digits) > 1 and with_check_digit(digits[:-1]) == digits


def gtin_14(gtin: str, indicator: int = 0) -> str:
    """A GTIN of 8, 12, 13 or 14 digits in the field of 14; with an indicator 1 to 9 that of a case of it.

    NotGs1 where the digits do not check, or a number that has an indicator already is to be given another.
    """
    if len(gtin) not in (8, 12, 13, 14) or not is_checked(gtin):
        raise NotGs1(f"{gtin or 'nothing'} is no GTIN: 8, 12, 13 or 14 digits, the last one computed.")
    field = gtin.zfill(14)
    if not indicator:
        return field
    if field[0] != "0":
        raise NotGs1(f"{gtin} names a case already.")
    return with_check_digit(f"{indicator}{field[1:13]}")


def retail_number(gtin: str) -> str:
    """The 13 digits of an EAN-13, or the 8 of an EAN-8, for a pack's label. NotGs1 where the number names a case."""
    field = gtin_14(gtin)
    if field[0] != "0":
        raise NotGs1(f"{gtin} names a case, not a pair: a shop's till reads no such number.")
    return gtin if len(gtin) == 8 else field[1:]


def sscc(prefix: str, serial: int) -> str:
    """The 18 digits of a case's number: extension digit and serial (counted from 0) round the company prefix.

    NotGs1 for a prefix that is not 6 to 12 digits, and once its numbers are used up.
    """
    if not (6 <= len(prefix) <= 12 and prefix.isascii() and prefix.isdecimal()):
        raise NotGs1(f"A company prefix has 6 to 12 digits, not {prefix or 'none'}.")
    places = 17 - len(prefix)
    if not 0 <= serial < 10**places:
        raise NotGs1(f"All {10**places:,} numbers of prefix {prefix} are given.")
    counted = f"{serial:0{places}d}"
    return with_check_digit(counted[0] + prefix + counted[1:])


def batch(code: str) -> Element:
    """A lot's code as a batch. NotGs1 where it holds what a scanner does not carry."""
    if not 0 < len(code) <= LONGEST_BATCH or not set(code) <= BATCH_MAY_HOLD:
        raise NotGs1(f"Lot {code} holds characters a barcode does not carry: Latin letters, digits and dashes only.")
    return Element(BATCH, code)


def count(pieces: int) -> Element:
    """How many of the content's GTIN lie in the case."""
    if not 0 < pieces <= MOST_COUNTED:
        raise NotGs1(f"A case holds 1 to {MOST_COUNTED:,} pairs, not {pieces}.")
    return Element(COUNT, str(pieces))


def net_kg(grams: Decimal) -> Element:
    """A net weight given in g, as kg with three decimals, half a gram up. NotGs1 below 1 g and from 1,000 kg on."""
    whole = int(Decimal(grams).quantize(Decimal(1), rounding=ROUND_HALF_UP))
    if not 0 < whole <= HEAVIEST_G:
        raise NotGs1(f"{grams} g cannot be written as a net weight.")
    return Element(NET_KG, f"{whole:06d}")


def element_string(*elements: Element) -> str:
    """The elements as read beneath a bar: "(02)0629...(37)24(10)LOT42A", those of known length first.

    A GTIN or SSCC with a wrong check digit is refused, as is what does not go together: a content wants its count
    and a count its content; a case's own GTIN stands without either. NotGs1 too where one symbol is too short.
    """
    held = {element.ai for element in elements}
    if len(held) != len(elements) or not held:
        raise NotGs1("Each identifier once, and at least one.")
    if (CONTENT in held) != (COUNT in held) or {GTIN, CONTENT} <= held:
        raise NotGs1("A content goes with its count, and never with a GTIN of the case.")
    for element in elements:
        if element.ai in (SSCC, GTIN, CONTENT) and not is_checked(element.data):
            raise NotGs1(f"The check digit of {element.data} does not fit.")
    ordered = sorted(elements, key=lambda element: element.ai not in FIXED)
    # Between one of open length and the next stands a character of its own.
    ends = sum(element.ai not in FIXED for element in ordered[:-1])
    if sum(len(element.ai + element.data) for element in ordered) + ends > MOST_CHARACTERS:
        raise NotGs1(f"More than the {MOST_CHARACTERS} characters of one symbol.")
    return "".join(f"({element.ai}){element.data}" for element in ordered)
