from django.urls import path

from production.views import recipes

urlpatterns = [
    path("recipes/", recipes.recipes, name="recipes"),
    path("recipes/make/", recipes.recipes_make, name="recipes_make"),
    path("recipes/<int:pk>/", recipes.recipe, name="recipe"),
    path("recipes/<int:pk>/delete/", recipes.recipe_delete, name="recipe_delete"),
]
