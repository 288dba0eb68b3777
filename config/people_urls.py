from django.urls import path

from config.views import change_hands, own, people, sign_in

urlpatterns = [
    path("sign-in/", sign_in.sign_in, name="sign_in"),
    path("sign-out/", sign_in.sign_out, name="sign_out"),
    path("change-hands/", change_hands.change_hands, name="change_hands"),
    path("password/", sign_in.give_password, name="give_password"),
    path("you/", own.own_sign_in, name="own_sign_in"),
    path("you/password/", own.own_password, name="own_password"),
    path("you/pin/", own.own_pin, name="own_pin"),
    path("set-up/people/", people.people, name="people"),
    path("set-up/people/new/", people.person_new, name="person_new"),
    path("set-up/people/<int:pk>/", people.person, name="person"),
    path("set-up/people/<int:pk>/password/", people.set_password, name="set_password"),
    path("set-up/people/<int:pk>/pin/", people.set_pin, name="set_pin"),
    path("set-up/people/<int:pk>/lift-lock/", people.lift_lock, name="lift_lock"),
    path("set-up/people/<int:pk>/leaves/", people.person_leaves, name="person_leaves"),
    path("set-up/people/<int:pk>/returns/", people.person_returns, name="person_returns"),
]
