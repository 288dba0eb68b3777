from django.urls import path

from production.views import faults, frame, grading, wick_ends

urlpatterns = [
    path("floor/to-grade/", grading.frames_to_grade, name="frames_to_grade"),
    path("frames/<int:pk>/", frame.frame, name="frame"),
    path("frames/<int:pk>/grade/", grading.grade, name="grade"),
    path("frames/<int:pk>/grade/again/", grading.grading_correct, name="grading_correct"),
    path("lots/<int:pk>/origin/", frame.lot_origin, name="lot_origin"),
    path("floor/faults/", faults.faults, name="faults"),
    path("floor/wick-ends/", wick_ends.wick_ends, name="wick_ends"),
]
