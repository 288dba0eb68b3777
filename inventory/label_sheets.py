"""Labels laid on their sheets. Each is drawn once, on a page as large as itself, and placed as often as it is wanted:
four hundred labels take no longer than one.

No Django here.
"""

from io import BytesIO

from pypdf import PageObject, PdfReader, PdfWriter
from pypdf.generic import ArrayObject, DictionaryObject, FloatObject, NameObject, StreamObject

from inventory.label_layout import places_of

POINTS_A_MM = 72 / 25.4


def lay_out(labels: bytes, *, sheet, start: int = 1, times: int = 1) -> bytes:
    """The sheets: every page of `labels` (PDF, a label a page) `times` times, from place `start` of the first on.

    The same labels give the same bytes. ValueError for a start that is not on the page.
    """
    writer = PdfWriter()
    drawn = [_as_stamp(writer, page) for page in PdfReader(BytesIO(labels)).pages]
    wanted = [stamp for stamp in drawn for _ in range(times)]
    pages, n = places_of(sheet, len(wanted), start), 0
    for places in pages:
        page = writer.add_blank_page(_points(sheet.page_w_mm), _points(sheet.page_h_mm))
        _place(writer, page, sheet, list(zip(wanted[n : n + len(places)], places, strict=True)))
        n += len(places)
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def _as_stamp(writer: PdfWriter, page: PageObject):
    """The page as something that can be placed on others."""
    stamp = StreamObject()
    stamp.set_data(page.get_contents().get_data())
    stamp.update(
        {
            NameObject("/Type"): NameObject("/XObject"),
            NameObject("/Subtype"): NameObject("/Form"),
            NameObject("/BBox"): ArrayObject(FloatObject(edge) for edge in page.mediabox),
            NameObject("/Resources"): page["/Resources"].clone(writer),
        }
    )
    return writer._add_object(stamp.flate_encode())


def _place(writer: PdfWriter, page: PageObject, sheet, stamps: list) -> None:
    """Put each stamp at its place: (stamp, (left, top) in mm); a PDF counts from the lower left corner."""
    names, acts = {}, []
    for stamp, (left, top) in stamps:
        name = names.setdefault(stamp.idnum, f"/L{stamp.idnum}")
        up = sheet.page_h_mm - top - sheet.label_h_mm
        acts.append(f"q 1 0 0 1 {_points(left):.3f} {_points(up):.3f} cm {name} Do Q")
    held = DictionaryObject({NameObject(names[stamp.idnum]): stamp for stamp, _ in stamps})
    content = StreamObject()
    content.set_data("\n".join(acts).encode())
    page[NameObject("/Resources")] = DictionaryObject({NameObject("/XObject"): held})
    page[NameObject("/Contents")] = writer._add_object(content)


def _points(mm) -> float:
    return float(mm) * POINTS_A_MM
