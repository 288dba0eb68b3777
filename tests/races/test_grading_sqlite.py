"""Two people at one frame, by real processes on one SQLite file, as the embedded book is used."""

import pytest

from tests.races.processes import alone
from tests.races.test_promises_sqlite import race

pytestmark = pytest.mark.sqlite

SEED = """
from tests.factories import make_candle, make_person
from tests.factories.floor import make_frame
from tests.orders.grading import hang, wanted
candle, by = make_candle(), make_person(username="ada")
make_person("dipper", username="bob"), make_person("dipper", username="cora")
order = wanted((candle, 40), by=by)
hang(candle, {order: 40}, by=by)
"""
GRADE = """
from production.domain.grading import grade_frame
from production.models import Frame
frame, by = Frame.objects.get(), Person.objects.get(username="{who}")
try:
    grade_frame(frame=frame, version=1, firsts={firsts}, seconds={{}}, remelt=48 - {firsts}, by=by)
    print("graded")
except ValidationError as refused:
    print("told", refused.messages[0][:20])
"""
CANCEL = "print(cancel_order(order=orders[0], version=1, reason='shut', by=by).status)"
COUNT = """
from tests.recount import recount
from production.audit import breaches
from production.models import Frame, Grading
from orders.models import OrderLine
recount()
assert list(breaches()) == []
print(Grading.objects.count(), Frame.objects.get().state, OrderLine.objects.get().set_aside)
"""


def test_of_two_who_grade_one_frame_the_second_is_told(file_sqlite):
    alone(file_sqlite, SEED)
    said = race(file_sqlite, GRADE.format(firsts=44, who="bob"), GRADE.format(firsts=43, who="cora"))
    assert sorted(line.split()[0] for line in said) == ["graded", "told"]
    assert alone(file_sqlite, COUNT) == "1 graded 40"


def test_grading_against_cancelling_the_order(file_sqlite):
    alone(file_sqlite, SEED)
    assert sorted(race(file_sqlite, GRADE.format(firsts=44, who="bob"), CANCEL)) == ["cancelled", "graded"]
    assert alone(file_sqlite, COUNT) == "1 graded 0"
