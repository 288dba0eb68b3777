"""Set-up: the sheets of labels one prints on."""

from inventory.forms.labels import LabelSheetForm
from inventory.label_layout import CASE, PACK
from inventory.models import LabelSheet
from inventory.tables.labels import LabelSheetTable
from inventory.views.set_up_lists import SetUpList
from inventory.views.setup import how_many
from inventory.words import measure


def _least(least) -> str:
    return " by ".join(measure(mm) for mm in least[:2])


LABEL_SHEETS = SetUpList(
    list_name="label_sheets",
    row_name="label_sheet",
    title="Label sheets",
    form=LabelSheetForm,
    table=LabelSheetTable,
    rows=LabelSheet.objects.all,
    headline=how_many(
        "sheet of labels",
        "sheets of labels",
        "pack and case labels are printed on them.",
        "No sheet of labels yet; pack and case labels need one.",
    ),
    context=(
        "Measure a sheet with a rule, or take the figures from its packet; print one page on plain paper first and "
        f"hold it against the sheet. A pack's label is at least {_least(PACK)} mm, a case's {_least(CASE)} mm."
    ),
)
