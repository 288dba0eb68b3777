from django.urls import path

from production.views import burn_tests, pack_labels

urlpatterns = [
    path("candles/<int:pk>/labels/", pack_labels.pack_labels, name="pack_labels"),
    path("candles/<int:pk>/labels.pdf", pack_labels.pack_labels_pdf, name="pack_labels_pdf"),
    path("test-burns/", burn_tests.burn_tests, name="burn_tests"),
    path("candles/<int:pk>/test-burn/", burn_tests.burn_test_new, name="burn_test_new"),
    path("test-burns/<int:pk>/", burn_tests.burn_test, name="burn_test"),
    path("test-burns/<int:pk>/take-back/", burn_tests.burn_cycle_back, name="burn_cycle_back"),
]
