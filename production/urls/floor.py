from django.urls import path

from production.views import floor, floor_frames, floor_taps, set_right

AT = "floor/carousels/<int:pk>/"
OF = "floor/frames/<int:pk>/"

urlpatterns = [
    path("floor/", floor.floor, name="floor"),
    path("floor/threaded/", floor_frames.threaded, name="threaded"),
    path("floor/thread/", floor_frames.thread, name="thread"),
    path(AT, floor.carousel, name="carousel"),
    path(f"{AT}begin/", floor_taps.begin, name="run_begin"),
    path(f"{AT}turn/", floor_taps.turn, name="run_turn"),
    path(f"{AT}rest/", floor_taps.resting, name="run_rest"),
    path(f"{AT}resume/", floor_taps.resuming, name="run_resume"),
    path(f"{AT}end/", floor_taps.ending, name="run_end"),
    path(f"{AT}move/", floor_taps.move, name="run_move"),
    path(f"{AT}pace/", floor_taps.pace, name="run_pace"),
    path(f"{AT}undo/", floor_taps.undo, name="run_undo"),
    path(f"{AT}hang/", floor_frames.hang, name="hang"),
    path(f"{AT}right/", set_right.set_right, name="set_right"),
    path(f"{OF}reading/", floor_frames.reading, name="reading"),
    path(f"{OF}off/", floor_taps.off, name="frame_off"),
    path(f"{OF}done/", floor_taps.done, name="frame_done"),
    path(f"{OF}stage/", floor_taps.stage, name="frame_stage"),
    path(f"{OF}scrap/", floor_frames.scrap, name="frame_scrap"),
]
