"""Which place of the rail a page belongs to, by URL name."""

_PAGES = {
    "order_book": "order_book_csv order order_new order_entry order_row order_save order_confirm order_paste "
    "order_fill order_discard order_change order_cancel set_aside_order set_aside_book set_aside_best release "
    "release_order take_over",
    "stockroom": "lots lot count_in adjust regrade candles candle candle_new candle_edit stock_counts stock_count_new "
    "stock_count stock_count_sheet stock_count_post",
    "seconds_shelf": "seconds_sell",
    "packing_bench": "pick_list start_packing delivery box_move close_boxes unpack van_left day_papers paper "
    "papers_of",
    "ledger": "invoice_new invoice",
    "shops": "shop_new shop shop_edit address_new address_edit contact_new contact_edit",
    "set_up": "workshop shelves waxes colours box_kinds van_days vat_rates series people person_new person set_pin "
    "lift_lock",
}
PLACE_OF = {page: place for place, pages in _PAGES.items() for page in (place, *pages.split())}
