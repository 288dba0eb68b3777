from tests.factories.labels import make_burn_test, make_label_sheet, make_large_sheet


def rows(season) -> dict[str, dict]:
    sheet, _ = make_label_sheet(), make_large_sheet()
    test = make_burn_test(season.candle, by=season.by)
    candle, delivery, burn = {"pk": season.candle.pk}, {"pk": season.waiting.pk}, {"pk": test.pk}
    return {
        "label_sheet": {"pk": sheet.pk}, "label_sheet_delete": {"pk": sheet.pk},
        "pack_labels": candle, "pack_labels_pdf": candle, "burn_test_new": candle,
        "burn_test": burn, "burn_cycle_back": burn,
        "case_labels": delivery, "case_labels_pdf": delivery,
    }  # fmt: skip
