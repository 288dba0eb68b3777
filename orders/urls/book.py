from django.urls import path

from orders.views import book, changes, order, promises, promising

urlpatterns = [
    path("orders/", book.order_book, name="order_book"),
    path("orders.csv", book.order_book_csv, name="order_book_csv"),
    path("orders/set-aside/", book.set_aside_book, name="set_aside_book"),
    path("orders/set-aside/ways/", book.set_aside_best, name="set_aside_best"),
    path("orders/<int:number>/", order.order, name="order"),
    path("orders/<int:number>/set-aside/", order.set_aside_order, name="set_aside_order"),
    path("orders/<int:number>/release/", order.release_order, name="release_order"),
    path("orders/<int:number>/cancel/", order.order_cancel, name="order_cancel"),
    path("orders/<int:number>/promise/", promising.order_promise, name="order_promise"),
    path("orders/<int:number>/promise/ways/", promising.promise_ways, name="promise_ways"),
    path("orders/<int:number>/acknowledge/", promising.order_acknowledge, name="order_acknowledge"),
    path("orders/<int:number>/header/", changes.order_header, name="order_header"),
    path("orders/<int:number>/add/", changes.order_add, name="order_add"),
    path("lines/<int:pk>/pairs/", changes.order_change, name="order_change"),
    path("lines/<int:pk>/other-colour/", changes.other_colour, name="other_colour"),
    path("lines/<int:line>/promises/<int:pk>/release/", promises.release, name="release"),
    path("lines/<int:pk>/take-over/", promises.take_over_list, name="take_over"),
    path("lines/<int:pk>/take-over/<int:promise>/", promises.take_over_from, name="take_over_from"),
    path("lots/<int:pk>/holders/", promises.lot_holders, name="lot_holders"),
]
