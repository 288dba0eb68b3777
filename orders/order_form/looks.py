"""What an order form looks like: the workshop's ink on white, hairlines, a paper ground where the shop writes."""

from openpyxl.styles import Alignment, Border, Font, PatternFill, Protection, Side

INK, SOFT, HAIR, PAPER = "FF2A251F", "FF6B6154", "FFD8CDBB", "FFF7F2E8"
# Wide enough for what stands in each column; in signs of the usual type.
WIDTHS = {
    "picture": 6, "code": 15, "candle": 36, "size": 11, "box": 9, "price": 9, "more": 22, "last": 9, "pairs": 12,
    "value": 11, "note": 26,
}  # fmt: skip
LEAST_HEIGHT = 21.0  # points of a row without a picture
TITLE = Font(size=16, bold=True, color=INK)
TEXT, BOLD, QUIET = Font(color=INK), Font(bold=True, color=INK), Font(color=SOFT)
OPEN = Protection(locked=False)
GROUND = PatternFill("solid", fgColor=PAPER)
HAIRLINE = Border(bottom=Side("thin", color=HAIR))
TO_FILL_IN = Border(bottom=Side("thin", color=INK))
RULE = Border(bottom=Side("medium", color=INK))
LEFT = Alignment(horizontal="left", vertical="center")
WRAPPED = Alignment(horizontal="left", vertical="center", wrap_text=True)
RIGHT = Alignment(horizontal="right", vertical="center", wrap_text=True)
DAY, MONEY = "ddd d mmm yyyy", "#,##0.00"
