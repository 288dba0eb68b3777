"""Cells of an order's lines as HTML. A long order has more than a hundred: filled in from templates they were a third
of what its page cost.
"""

from dataclasses import dataclass

from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from inventory.models import Candle
from orders.cover_svg import draw_cover
from orders.models import DeliveryLine, Order, SetAside
from orders.models.order import CONFIRMED
from orders.queries.order_page import LineStory
from orders.standing import short_day
from production.models import PlannedFrame

NOTHING = ""
NO_LOT = format_html('<span class="soft">{}</span>', "–")


@dataclass(frozen=True)
class LineCells:
    """What may be done decides what a cell offers; `token` is the CSRF token of its forms."""

    order: Order
    token: str
    may_change: bool
    may_set_aside: bool
    sees_plan: bool

    def candle(self, story: LineStory) -> SafeString:
        candle = story.line.candle
        return format_html(
            '<a href="{}">{}</a> <small>{}</small>', candle.get_absolute_url(), candle.name, candle.code
        )

    def cover(self, story: LineStory) -> SafeString:
        """The bar, why the line got what it got, what is still to come, and other colours to take instead."""
        confirmed, why = self.order.status == CONFIRMED, story.line.why
        told = [why] if why and confirmed else []
        if story.cover.on_floor or story.cover.planned or (story.cover.open and confirmed and not why):
            told.append(_to_come(story))
        return format_html(
            "{}{}{}",
            draw_cover(story.cover, width=220),
            format_html_join("", '<p class="why">{}</p>', ((words,) for words in told)),
            self._colours(story) if story.colours else NOTHING,
        )

    def _colours(self, story: LineStory) -> SafeString:
        ask = ": ask first" if self.order.shop.other_colour == "ask" else ""
        way = reverse("other_colour", args=[story.line.pk]) if self.may_change else ""
        rows = (
            (free, candle.colour.name, self._put_on(story, way, candle, pairs) if way else NOTHING)
            for candle, free, pairs in story.colours
        )
        listed = format_html_join("", "\n<li>{} free in {}{}</li>", rows)
        return format_html(
            '<div class="colours"><p>Another colour in this shape{}</p>\n<ul>{}\n</ul></div>', ask, listed
        )

    def _put_on(self, story: LineStory, way: str, candle: Candle, pairs: int) -> SafeString:
        return format_html(
            ': <form method="post" action="{}"><input type="hidden" name="csrfmiddlewaretoken" value="{}">'
            '<input type="hidden" name="version" value="{}"><input type="hidden" name="candle" value="{}">'
            '<input type="hidden" name="pairs" value="{}"><button class="plain">put {} on'
            '<span class="unseen"> of {} in place of {}</span></button></form>',
            way, self.token, self.order.version, candle.pk, pairs, pairs, candle.name, story.line.candle.name,
        )  # fmt: skip

    def lots(self, story: LineStory) -> SafeString:
        """Every lot and frame the line's pairs come from: those gone first, those only planned last."""
        found = [_gone(gone) for gone in story.sent]
        found += [self._held(story, promise) for promise in story.promises]
        found += [
            format_html(
                '{} from frame <a href="{}">{}</a>, {}',
                promise.pairs, promise.frame.get_absolute_url(), promise.frame.code, outlook.words,
            )
            for promise, outlook in story.hung
        ]  # fmt: skip
        found += [self._planned(frame, pairs) for frame, pairs in story.planned]
        if not found:
            return NO_LOT
        listed = format_html_join("", "\n<li>{}</li>", ((one,) for one in found))
        return format_html('<ul class="bare">{}\n</ul>', listed)

    def _held(self, story: LineStory, promise: SetAside) -> SafeString:
        way, line = NOTHING, story.line
        if self.may_set_aside and promise.packed < promise.pairs and not line.seconds_box_id:
            way = format_html(
                ' <a class="act" href="{}">Release<span class="unseen"> pairs of {}</span></a>',
                reverse("release", args=[line.pk, promise.pk]), promise.lot.code,
            )  # fmt: skip
        packed = f", {promise.packed} packed" if promise.packed else ""
        return format_html("{} {}{}{}", _lot(promise), promise.pairs, packed, way)

    def _planned(self, frame: PlannedFrame, pairs: int) -> SafeString:
        named = str(frame)
        if self.sees_plan:
            named = format_html('<a href="{}">{}</a>', reverse("dip_plan_frame", args=[frame.pk]), frame)
        starts = timezone.localtime(frame.starts)
        hangs = f"{starts:%A} {short_day(starts)} {starts:%H:%M}"
        ready = f"{frame.ready_on:%A} {short_day(frame.ready_on)}"
        return format_html("{} from {}, to hang {}, ready {}", pairs, named, hangs, ready)

    def acts(self, story: LineStory) -> SafeString:
        line, candle = story.line, story.line.candle
        way = take = NOTHING
        if self.may_change and line.seconds_box:
            box = line.seconds_box
            way = format_html(
                '<a href="{}">To box {}<span class="unseen"> of {}</span></a>',
                box.get_absolute_url(), box.code, candle.name,
            )  # fmt: skip
        elif self.may_change:
            way = format_html(
                '<a href="{}">Change pairs<span class="unseen"> of {}</span></a>',
                reverse("order_change", args=[line.pk]), candle.name,
            )  # fmt: skip
        if self.may_set_aside and story.cover.missing > story.free and story.others:
            take = format_html(
                '<br><a href="{}">Take over<span class="unseen"> pairs of {} from another order: {} could come</span>'
                "</a>",
                reverse("take_over", args=[line.pk]), candle.name, story.others,
            )  # fmt: skip
        return format_html("{}{}", way, take)


def _to_come(story: LineStory) -> str:
    """ "24 on the floor, 12 open, 6 free in stock" """
    cover = story.cover
    figures = (
        (cover.on_floor, "on the floor"),
        (cover.planned, "planned"),
        (cover.open, "open"),
        (story.free, "free in stock"),
    )
    return ", ".join(f"{pairs:,} {where}" for pairs, where in figures if pairs)


def _gone(gone: DeliveryLine) -> SafeString:
    return format_html("{} {} sent", _lot(gone), gone.pairs)


def _lot(row: SetAside | DeliveryLine) -> SafeString:
    return format_html('<a href="{}">{}</a>', reverse("lot_holders", args=[row.lot_id]), row.lot.code)
