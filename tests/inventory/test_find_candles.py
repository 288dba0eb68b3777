import pytest

from inventory.queries.catalogue import find_candles, nearest_candles
from inventory.queries.stockroom import free_by_candle, free_lots
from tests.factories import make_candle, make_lot

pytestmark = pytest.mark.django_db


@pytest.fixture
def catalogue():
    names = {
        "IV250": "Ivory taper 250 x 22",
        "IV180": "Ivory dinner 180 x 20",
        "ST180": "Stearin white dinner 180 x 20",
        "RD250": "Winter red taper 250 x 22",
    }
    candles = {code: make_candle(code=code, name=name) for code, name in names.items()}
    candles["OLD"] = make_candle(code="OLD1", name="Ivory taper, no longer made", active=False)
    return candles


def codes(found):
    return [candle.code for candle in found]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("iv250", ["IV250"]),
        ("iv", ["IV180", "IV250"]),
        ("st 18", ["ST180"]),
        ("18 st", ["ST180"]),
        ("250", ["IV250", "RD250"]),
        ("  taper   red ", ["RD250"]),
        ("", []),
        ("   ", []),
        ("%", []),
        ("_", []),
        ("nothing like it", []),
        ("iv\x00250", ["IV250"]),
        ("x" * 5000, []),
    ],
)
def test_find_candles_by_code_or_parts_of_the_name(catalogue, text, expected):
    assert codes(find_candles(text)) == expected


def test_find_candles_puts_the_code_itself_first(catalogue):
    make_candle(code="IV2501", name="Ivory taper 250, boxed")
    assert codes(find_candles("IV250")) == ["IV250", "IV2501"]


def test_find_candles_keeps_to_the_limit_and_one_query(catalogue, django_assert_num_queries):
    for n in range(30):
        make_candle(name=f"Moss stub {n}", wax=catalogue["IV250"].wax, colour=catalogue["IV250"].colour)
    with django_assert_num_queries(1):
        found = find_candles("moss")
        assert len(found) == 8
        assert found[0].wax.name
        assert found[0].colour.hex


@pytest.mark.parametrize(
    ("text", "best"),
    [("ivry tapr 250", "IV250"), ("IV25O", "IV250"), ("stearine dinner", "ST180"), ("red tapers", "RD250")],
)
def test_nearest_candles_understands_slips_of_the_finger(catalogue, text, best):
    assert codes(nearest_candles(text))[0] == best


def test_nearest_candles_names_some_whatever_was_typed(catalogue):
    assert len(nearest_candles("")) == 3
    assert codes(nearest_candles("zzzz", limit=1, among=[catalogue["RD250"]])) == ["RD250"]


def test_free_pairs_by_candle_and_by_lot_in_one_query_each(django_assert_num_queries):
    one, other, none = make_candle(), make_candle(), make_candle()
    old = make_lot(one, 10, made_on="2026-10-01", set_aside=4)
    new = make_lot(one, 5, made_on="2026-11-01")
    make_lot(one, 7, grade="seconds")
    make_lot(other, 3, set_aside=3)
    ids = [one.pk, other.pk, none.pk]
    with django_assert_num_queries(1):
        assert free_by_candle(ids, "firsts") == {one.pk: 11, other.pk: 0, none.pk: 0}
    with django_assert_num_queries(1):
        assert free_lots(ids, "firsts") == {one.pk: [old, new], other.pk: [], none.pk: []}
    assert free_by_candle([], "seconds") == {}
    assert free_lots([one.pk], "seconds")[one.pk][0].free == 7
