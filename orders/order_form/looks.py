"""What an order form looks like: the workshop's ink on white, hairlines, a paper ground where the shop writes."""

from openpyxl.styles import Alignment, Border, Font, PatternFill, Protection, Side

INK, SOFT, HAIR, PAPER = "FF2A251F", "FF6B6154", "FFD8CDBB", "FFF7F2E8"
# Wide enough for what stands in each column; in signs of the usual type.
WIDTHS = {
    "picture": 6, "code": 15, "candle": 36, "size": 11, "box": 9, "price": 10, "more": 26, "last": 9, "pairs": 12,
    "value": 11, "note": 28,
}  # fmt: skip
LEAST_HEIGHT, HEAD_HEIGHT = 22.0, 19.0  # points of a row without a picture
TITLE = Font(name="Calibri", size=16, bold=True, color=INK)
TEXT, BOLD = Font(name="Calibri", size=11, color=INK), Font(name="Calibri", size=11, bold=True, color=INK)
QUIET = Font(name="Calibri", size=11, color=SOFT)
OPEN = Protection(locked=False)
GROUND = PatternFill("solid", fgColor=PAPER)
HAIRLINE = Border(bottom=Side("thin", color=HAIR))
TO_FILL_IN = Border(bottom=Side("thin", color=INK))
RULE = Border(bottom=Side("medium", color=INK))
LEFT = Alignment(horizontal="left", vertical="center")
# A step in, so that words do not run into the figures before them.
WRAPPED = Alignment(horizontal="left", vertical="center", wrap_text=True, indent=1)
RIGHT = Alignment(horizontal="right", vertical="center", wrap_text=True, indent=1)
DAY, MONEY = "ddd d mmm yyyy", "#,##0.00"
