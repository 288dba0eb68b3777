from django.urls import path

from inventory.urls.setup import paths_of
from inventory.views import material_set_up as setup
from inventory.views import materials, purchases

urlpatterns = [
    path("materials/", materials.materials, name="materials"),
    path("materials.csv", materials.materials_csv, name="materials_csv"),
    path("materials/<int:pk>/", materials.material, name="material"),
    path("materials/<int:pk>/in/", materials.material_in, name="material_in"),
    path("materials/<int:pk>/order/", purchases.purchase_new, name="purchase_new"),
    path("materials/lots/<int:pk>/", materials.material_lot, name="material_lot"),
    path("materials/lots/<int:pk>/price/", materials.material_lot_price, name="material_lot_price"),
    path("materials/lots/<int:pk>/adjust/", materials.material_adjust, name="material_adjust"),
    path("purchases/", purchases.purchases, name="purchases"),
    path("purchases/<int:pk>/", purchases.purchase, name="purchase"),
    path("purchases/<int:pk>/call-off/", purchases.purchase_call_off, name="purchase_call_off"),
    *paths_of(setup.SUPPLIERS, "suppliers"),
    *paths_of(setup.MATERIALS, "materials"),
    path("set-up/blends/", setup.mixes_view(setup.BLENDS), name="blends"),
    path("set-up/blends/<int:pk>/", setup.mix_view(setup.BLENDS), name="blend"),
    path("set-up/dyes/", setup.mixes_view(setup.DYES), name="dyes"),
    path("set-up/dyes/<int:pk>/", setup.mix_view(setup.DYES), name="dye"),
]
