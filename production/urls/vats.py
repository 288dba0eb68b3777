from django.urls import path

from production.views import check_sheet, vats

urlpatterns = [
    path("vats/", vats.vats, name="vats"),
    path("vats/new/", vats.vat_new, name="vat_new"),
    path("vats/<int:pk>/", vats.vat, name="vat"),
    path("vats/<int:pk>/edit/", vats.vat_edit, name="vat_edit"),
    path("vats/<int:pk>/delete/", vats.vat_delete, name="vat_delete"),
    path("vats/<int:pk>/heat/", vats.vat_doing, {"doing": "heat"}, name="vat_heat"),
    path("vats/<int:pk>/level/", vats.vat_doing, {"doing": "level"}, name="vat_level"),
    path("vats/<int:pk>/top-up/", vats.vat_doing, {"doing": "top_up"}, name="vat_top_up"),
    path("vats/<int:pk>/thermostat/", vats.vat_doing, {"doing": "thermostat"}, name="vat_thermostat"),
    path("vats/<int:pk>/change-over/", vats.vat_change_over, name="vat_change_over"),
    path("floor/check-sheet/", check_sheet.check_sheet, name="check_sheet"),
    path("floor/check-sheet.pdf", check_sheet.check_sheet_pdf, name="check_sheet_pdf"),
]
