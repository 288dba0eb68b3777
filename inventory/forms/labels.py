"""The form of a sheet of labels."""

from inventory.forms.setup import SetUpForm
from inventory.models import LabelSheet


class LabelSheetForm(SetUpForm):
    class Meta:
        model = LabelSheet
        fields = (
            "name",
            "page_w_mm",
            "page_h_mm",
            "columns",
            "rows",
            "label_w_mm",
            "label_h_mm",
            "left_mm",
            "top_mm",
            "gap_x_mm",
            "gap_y_mm",
        )
        help_texts = {
            "name": "As it stands on the packet.",
            "page_w_mm": "A4 is 210 by 297 mm.",
            "gap_x_mm": "From one label's edge to the next one's.",
        }
