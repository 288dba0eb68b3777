from django.urls import path

from production.views import dip_plan, dip_plan_acts, dip_plan_frames, dip_plan_sheet, dip_plan_trials

PLAN = "dip-list/plan"
urlpatterns = [
    path(f"{PLAN}/", dip_plan.dip_plan, name="dip_plan"),
    path(f"{PLAN}/search/", dip_plan.dip_plan_progress, name="dip_plan_progress"),
    path(f"{PLAN}/search/<int:pk>/", dip_plan.dip_plan_found, name="dip_plan_found"),
    path(f"{PLAN}/late/", dip_plan.dip_plan_late, name="dip_plan_late"),
    path(f"{PLAN}/ask/", dip_plan_acts.dip_plan_ask, name="dip_plan_ask"),
    path(f"{PLAN}/search/<int:pk>/again/", dip_plan_acts.dip_plan_again, name="dip_plan_again"),
    path(f"{PLAN}/search/<int:pk>/cancel/", dip_plan_acts.dip_plan_cancel, name="dip_plan_cancel"),
    path(f"{PLAN}/search/<int:pk>/take/", dip_plan_acts.dip_plan_take, name="dip_plan_take"),
    path(f"{PLAN}/repair/", dip_plan_acts.dip_plan_repair, name="dip_plan_repair"),
    path(f"{PLAN}/frame/<int:pk>/", dip_plan_frames.dip_plan_frame, name="dip_plan_frame"),
    path(f"{PLAN}/pins/", dip_plan_frames.dip_plan_pins, name="dip_plan_pins"),
    path(f"{PLAN}/pins/vat/", dip_plan_frames.dip_plan_pin_vat, name="dip_plan_pin_vat"),
    path(f"{PLAN}/pins/frame/", dip_plan_frames.dip_plan_pin_frame, name="dip_plan_pin_frame"),
    path(f"{PLAN}/pins/<int:pk>/let-go/", dip_plan_frames.dip_plan_unpin, name="dip_plan_unpin"),
    path(f"{PLAN}/what-if/", dip_plan_trials.dip_plan_what_if, name="dip_plan_what_if"),
    path(f"{PLAN}/what-if/<int:pk>/", dip_plan_trials.dip_plan_trial, name="dip_plan_trial"),
    path(f"{PLAN}/sheet.pdf", dip_plan_sheet.dip_plan_sheet, name="dip_plan_sheet"),
]
