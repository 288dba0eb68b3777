"""The bank's CSV: found separators, columns by name, faults in words."""

from datetime import date
from decimal import Decimal

import pytest

from orders.bank_csv import BadFile, decode, read_amount, read_day, read_lines, read_sheet

TODAY = date(2026, 11, 25)
COLUMNS = {"day": "Date", "text": "Description", "amount": "Amount", "reference": "Reference", "day_order": "dmy"}
PLAIN = (
    "Date,Description,Reference,Amount,Balance\n"
    '24/11/2026,LAMP ROOM,INV-1001,"1,294.00","5,294.00"\n'
    "23/11/2026,GAS,,-88.20,4000.00\n"
)


def read(text, columns=COLUMNS, currency="GBP"):
    return read_lines(read_sheet(text), columns, currency=currency, today=TODAY)


def faults(text, columns=COLUMNS, currency="GBP"):
    with pytest.raises(BadFile) as bad:
        read(text, columns, currency)
    return bad.value.faults


def test_money_that_came_in_is_read_and_the_rest_is_said():
    lines, said = read(PLAIN)
    [line] = lines
    assert (line.line, line.on, line.amount) == (2, date(2026, 11, 24), Decimal("1294.00"))
    assert (line.text, line.reference, line.again) == ("LAMP ROOM", "INV-1001", 1)
    assert said == ["1 line of money going out is left out."]


@pytest.mark.parametrize("separator", [";", "\t", "|"])
def test_other_separators_are_found_by_themselves(separator):
    text = separator.join(["Date", "Description", "Reference", "Amount"])
    text += "\n" + separator.join(["24/11/2026", "LAMP ROOM, WEXCOMBE", "INV-1001", "1.294,00"])
    sheet = read_sheet(text)
    assert sheet.separator == separator
    assert read(text)[0][0].amount == Decimal("1294.00")


def test_rows_above_the_column_names_are_passed_over():
    sheet = read_sheet("Account 00-00-00\n\n" + PLAIN)
    assert sheet.header == ("Date", "Description", "Reference", "Amount", "Balance")
    assert sheet.header_key == "date|description|reference|amount|balance"


def test_two_columns_for_money_in_and_out():
    text = "Date,Description,Paid in,Paid out\n24/11/2026,A,12.00,\n24/11/2026,B,,9.00\n"
    columns = {"day": "Date", "text": "Description", "money_in": "Paid in", "money_out": "Paid out"}
    lines, said = read(text, columns)
    assert [line.amount for line in lines] == [Decimal("12.00")]
    assert said == ["1 line of money going out is left out."]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "The file is empty."),
        ("Date^Description^Amount\n1^2^3\n", "not separated by commas, semicolons, tabs or bars"),
        ("just words\nand more of them\n", "not separated by commas"),
        ("Date,Description,Amount\n", "no line beneath them"),
        ("24/11/2026,LAMP ROOM,12.00\n23/11/2026,FERN,13.00\n", "no names for the columns"),
        (",,,\n,,,\n,,,12.00\n", "no names for the columns"),
        ("x" * 1_000_001, "too long"),
    ],
)
def test_a_file_that_cannot_be_read_says_why(text, said):
    with pytest.raises(BadFile, match=said):
        read_sheet(text)


def test_what_is_no_text_is_refused_and_old_code_pages_are_understood():
    with pytest.raises(BadFile, match="no CSV file"):
        decode(b"PK\x03\x04\x00\x00")
    assert decode("Café £".encode("cp1252")) == "Café £"
    assert decode("\ufeffDate".encode()) == "Date"


def test_one_bad_line_refuses_the_whole_file_and_names_it():
    head = "Date,Description,Reference,Amount\n"
    assert faults(head + "24/11/2026,A,,12.00\n31/02/2026,B,,1.00\n24/11/2026,C,,twelve\n") == [
        "Line 3: “31/02/2026” is not a day as this account's files write it.",
        "Line 4: “twelve” is not an amount.",
    ]
    assert "is not a day on which money can have come in" in faults(head + "26/11/2026,A,,12.00\n")[0]
    assert "more than this book can hold" in faults(head + "24/11/2026,A,,100000000.00\n")[0]
    assert "fewer columns" in faults(head + "24/11/2026,A,,1.00\n24/11/2026\n24/11/2026,B,,1.00\n")[0]
    assert "far too long" in faults(head + "24/11/2026," + "A" * 2001 + ",,1.00\n")[0]


def test_another_currency_is_refused_line_by_line():
    text = "Date,Description,Amount,Currency\n24/11/2026,A,12.00,GBP\n24/11/2026,B,12.00,EUR\n"
    columns = {**COLUMNS, "reference": "", "currency_column": "Currency"}
    assert faults(text, columns) == ["Line 3: is in EUR; this account is kept in GBP."]
    assert len(read(text.replace("EUR", "GBP"), columns)[0]) == 2


def test_a_column_that_is_gone_is_named():
    [said] = faults(PLAIN.replace("Amount", "Value"))
    assert "no column 'Amount'" in said
    assert "Date, Description, Reference, Value, Balance" in said


def test_lines_that_read_the_same_are_counted_and_told():
    line = "24/11/2026,LAMP ROOM,INV-1001,50.00\n"
    lines, said = read("Date,Description,Reference,Amount\n" + line * 2)
    assert [one.again for one in lines] == [1, 2]
    assert "Line 3 reads the same as one before it (50.00 on 24 November 2026)" in said[0]


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("12", "12.00"), ("12.5", "12.50"), ("1,234.56", "1234.56"), ("1.234,56", "1234.56"), ("1,234", "1234.00"),
        ("£12.00", "12.00"), ("(12.00)", "-12.00"), ("-12.00", "-12.00"), ("12.00-", "-12.00"), ("-£1", "-1.00"),
        ("12.00 DR", "-12.00"), ("12.00 CR", "12.00"), ("+3.10", "3.10"),
    ],
)  # fmt: skip
def test_amounts_as_banks_write_them(text, amount):
    assert read_amount(text) == Decimal(amount)


@pytest.mark.parametrize("text", ["", "x", "1.234", "--", "12.00.EUR", "٣", "9" * 60, "1e5", "NaN"])
def test_amounts_that_are_none(text):
    with pytest.raises(ValueError, match=r"not an amount|two ways|more than this book"):
        read_amount(text)


@pytest.mark.parametrize(
    ("text", "order", "found"),
    [
        ("24/11/2026", "dmy", date(2026, 11, 24)), ("24-11-26", "dmy", date(2026, 11, 24)),
        ("24 Nov 2026", "dmy", date(2026, 11, 24)), ("2026-11-24", "dmy", date(2026, 11, 24)),
        ("2026-11-24T09:30:00", "ymd", date(2026, 11, 24)), ("11/24/2026", "mdy", date(2026, 11, 24)),
    ],
)  # fmt: skip
def test_days_as_banks_write_them(text, order, found):
    assert read_day(text, order, TODAY) == found
