"""Paper: a template and its content in, the bytes of a PDF out. The same content gives the same bytes."""


def render_pdf(template: str, context: dict, *, variant: str | None = None, style: str = "") -> bytes:
    """The template, filled in, as a PDF (inventory.pdf_making says how). Content comes from the context alone.

    `variant`: one of WeasyPrint's, "pdf/a-3b" for a paper that has its data put inside. `style`: CSS that only this
    paper knows, such as the measures of a sheet of labels; it goes before the house's own.
    """
    # WeasyPrint takes half a second to load, which a command and a process that prints nothing never need.
    from inventory.pdf_making import make_pdf  # noqa: PLC0415

    return make_pdf(template, context, variant=variant, style=style)
