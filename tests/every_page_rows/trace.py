from tests.factories.complaints import make_complaint


def rows(season) -> dict[str, dict]:
    subject = {"kind": "lot", "pk": season.lot.pk}
    complaint = {"pk": make_complaint(season.gone, by=season.by).pk}
    return {
        **dict.fromkeys(("trace_of", "recall_pdf", "recall_csv"), subject),
        **dict.fromkeys(("complaint", "complaint_follow", "complaint_close"), complaint),
    }
