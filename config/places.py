"""Which place of the rail a page belongs to, by URL name."""

_PAGES = {
    "order_book": "order_book_csv order order_new order_entry order_row order_save order_confirm order_paste "
    "order_fill order_discard order_change order_cancel set_aside_order set_aside_book "
    "set_aside_best release release_order order_promise promise_ways order_acknowledge take_over "
    "shop_link_make shop_link_withdraw take_over_from order_header order_add other_colour lot_holders "
    "order_forms order_form form_back kept_file",
    "dip_list": "dip_list_csv hang_spare own_want_new own_want own_want_drop dip_plan dip_plan_progress "
    "dip_plan_found dip_plan_late dip_plan_ask dip_plan_frame dip_plan_pins dip_plan_pin_vat dip_plan_pin_frame "
    "dip_plan_what_if dip_plan_trial",
    "floor": "burn_tests burn_test_new burn_test burn_cycle_back "
    "vats vat vat_change_over check_sheet frames_to_grade frame grade grading_correct faults "
    "wick_ends carousel threaded thread run_begin run_turn run_rest run_resume run_end run_move "
    "run_pace run_undo hang set_right reading frame_off frame_done frame_stage frame_scrap",
    "stockroom": "pack_labels pack_labels_pdf "
    "lot_origin lots lot count_in adjust regrade candles candle candle_new candle_edit "
    "stock_counts stock_count_new stock_count stock_count_sheet stock_count_type stock_count_post "
    "stock_count_discard shelve materials materials_csv material material_in material_lot material_lot_price "
    "material_adjust purchases purchase purchase_new purchase_call_off "
    "material_needs material_needs_csv remelt wax_balance wax_balance_csv "
    "wax_losses_csv trace trace_of recall_pdf recall_csv complaints complaints_csv complaint_new "
    "complaint complaint_follow complaint_close",
    "seconds_shelf": "order_bags seconds_sell seconds_lots seconds_lots_csv seconds_boxes seconds_box "
    "seconds_box_label "
    "seconds_box_price seconds_box_open seconds_box_off seconds_list seconds_list_send seconds_list_paper "
    "seconds_remelt",
    "packing_bench": "case_labels case_labels_pdf "
    "pick_list start_packing delivery box_move close_boxes unpack van_left day_papers paper "
    "papers_of pick_list_pdf van_day_left take_back",
    "ledger": "day_book vat_summary receipts books_csv books_xlsx periods period_open e_invoice_xml "
    "e_invoice_pdf invoice_new invoice credit_new credit_note export_evidence pro_forma "
    "deposit_new margins margins_file candle_cost "
    "debts shop_ledger payment_new refund_new statement_new reminder_new payment "
    "payment_share payment_off payment_back late_charge_new late_charge bank bank_file "
    "bank_columns bank_line letters letter",
    "shops": "shop_new shop shop_edit address_new address_edit contact_new contact_edit agreed_new "
    "agreed_edit order_form_new shop_trade_list trade_list",
    "season": "season_candles season_shops season_load season_last_orders season_ahead season_before season_figures "
    "season_csv",
    "set_up": "suppliers supplier materials_setup material_setup blends blend dyes dye "
    "workshop label_sheets label_sheet "
    "shelves shelf waxes wax colours colour box_kinds box_kind van_days van_day "
    "vat_rates vat_rate price_lists price_list_new price_list shop_groups shop_group "
    "seconds_prices seconds_price seconds_ages seconds_age series next_number people person_new person set_password "
    "set_pin lift_lock give_password carousels_setup carousel_setup frame_kinds frame_kind "
    "frame_kind_pairs working_hours working_day days_off day_off wax_heats wax_heat "
    "change_over_times change_over_time floor_figures cost_figures recipes recipe vat_new vat_edit base_rates "
    "base_rate exchange_rates exchange_rate sheets_in sheet_in sheet_kind sheet_headings "
    "take_with_you take_xlsx take_csv",
}
PLACE_OF = {page: place for place, pages in _PAGES.items() for page in (place, *pages.split())}
