"""E-invoices as they were made: bytes and digest, stored once like the PDF they stand beside (triggers)."""

from django.db import models

UBL, HYBRID = "ubl", "hybrid"
SYNTAXES = [(UBL, "XML, UBL 2.1"), (HYBRID, "PDF with its data inside")]


class EInvoice(models.Model):
    """One paper in one syntax of EN 16931, checked before it was stored."""

    paper = models.ForeignKey("orders.Paper", on_delete=models.PROTECT, related_name="e_invoices")
    syntax = models.CharField(max_length=6, choices=SYNTAXES)
    data = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["paper", "syntax"]
        constraints = [models.UniqueConstraint(fields=["paper", "syntax"], name="e_invoice_once_a_syntax")]

    def __str__(self):
        return f"{self.paper} as {self.get_syntax_display()}"
