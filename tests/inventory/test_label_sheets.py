"""Sheets of labels in the set-up."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from inventory.label_layout import CASE, PACK
from inventory.models import LabelSheet
from inventory.queries.labels import sheets_for
from tests.factories.labels import make_label_sheet, make_large_sheet
from tests.inventory.workshop_record import told

pytestmark = pytest.mark.django_db
LIST = "/set-up/label-sheets/"
TYPED = {
    "name": "8 to A4", "page_w_mm": "210", "page_h_mm": "297", "columns": "2", "rows": "4", "label_w_mm": "99.1",
    "label_h_mm": "67.7", "left_mm": "4.7", "top_mm": "13.1", "gap_x_mm": "2.4", "gap_y_mm": "0",
}  # fmt: skip


def test_a_sheet_is_written_down_and_changed(client_for):
    owner = client_for("owner")
    assert owner.post(LIST, TYPED).url == LIST
    sheet = LabelSheet.objects.get()
    assert sheet.to_a_page == 8
    page = owner.get(LIST).content.decode()
    assert "99.1 x 67.7" in page
    assert "packs" in page
    seen = owner.get(f"{LIST}{sheet.pk}/").context["form"].initial["seen"]
    assert owner.post(f"{LIST}{sheet.pk}/", {**TYPED, "rows": "3", "seen": seen}).status_code == 302
    assert told() == ["Label sheet 8 to A4 added", "Label sheet 8 to A4: labels down became 3, before 4"]


@pytest.mark.parametrize(
    ("field", "value", "at"),
    [
        ("columns", "3", "label_w_mm"),  # three of 99.1 mm reach past 210
        ("top_mm", "30", "label_h_mm"),
        ("gap_x_mm", "12", "label_w_mm"),
        ("rows", "0", "rows"),
        ("rows", "21", "rows"),
        ("label_w_mm", "19.9", "label_w_mm"),
        ("label_h_mm", "tall", "label_h_mm"),
        ("left_mm", "-1", "left_mm"),
        ("name", "", "name"),
    ],
)
def test_a_sheet_that_cannot_be_is_refused_at_its_field(client_for, field, value, at):
    response = client_for("owner").post(LIST, {**TYPED, field: value})
    assert response.status_code == 422
    assert at in response.context["form"].errors
    assert response.context["form"][field].value() == value
    assert not LabelSheet.objects.exists()


@pytest.mark.parametrize("wrong", [{"columns": 3}, {"rows": 5}, {"rows": 0}])
def test_the_table_refuses_it_too(wrong):
    with pytest.raises(IntegrityError), transaction.atomic():
        make_label_sheet(**wrong)


def test_labels_that_end_at_the_edge_of_the_page_fit():
    edge = make_label_sheet(columns=1, rows=5, label_h_mm=Decimal("59.4"), top_mm=0)
    edge.full_clean()
    with pytest.raises(ValidationError):
        LabelSheet(name="x", label_w_mm=Decimal("210.1"), label_h_mm=Decimal(100)).full_clean()


def test_what_is_printed_asks_for_labels_large_enough():
    small, large = make_label_sheet(), make_large_sheet()
    tiny = make_label_sheet(name="24 to A4", label_h_mm=Decimal(37), rows=7)
    assert list(sheets_for(PACK)) == [small, large]
    assert list(sheets_for(CASE)) == [large]
    assert tiny not in sheets_for(PACK)
