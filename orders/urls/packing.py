from django.urls import path

from orders.views import case_labels, delivery, packing

urlpatterns = [
    path("packing/", packing.packing_bench, name="packing_bench"),
    path("packing/pick-list/", packing.pick_list, name="pick_list"),
    path("packing/pick-list.pdf", packing.pick_list_pdf, name="pick_list_pdf"),
    path("packing/vans/<str:day_text>/left/", packing.van_day_left, name="van_day_left"),
    path("orders/<int:number>/packing/", packing.start_packing, name="start_packing"),
    path("deliveries/<int:pk>/", delivery.delivery, name="delivery"),
    path("deliveries/<int:pk>/move/", delivery.box_move, name="box_move"),
    path("deliveries/<int:pk>/close/", delivery.close_boxes, name="close_boxes"),
    path("deliveries/<int:pk>/unpack/", delivery.unpack, name="unpack"),
    path("deliveries/<int:pk>/left/", delivery.van_left, name="van_left"),
    path("deliveries/<int:pk>/labels/", case_labels.case_labels, name="case_labels"),
    path("deliveries/<int:pk>/labels.pdf", case_labels.case_labels_pdf, name="case_labels_pdf"),
]
