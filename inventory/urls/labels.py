from inventory.urls.setup import paths_of
from inventory.views import labels

urlpatterns = paths_of(labels.LABEL_SHEETS, "label-sheets")
