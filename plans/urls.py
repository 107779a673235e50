"""The book and the kitchen: foods, recipes, protocols."""

from django.urls import path

from plans.views import foods, protocol_changes, protocols, recipe_forms, recipes

urlpatterns = [
    path("foods/", foods.foods, name="foods"),
    path("foods/import/", foods.foods_import, name="foods_import"),
    path("foods/export/<slug:kind>/", foods.foods_file, name="foods_file"),
    path("recipes/", recipes.recipes, name="recipes"),
    path("recipes/import/", recipes.recipes_import, name="recipes_import"),
    path("recipes/export/<slug:kind>/", recipes.recipes_file, name="recipes_file"),
    path("recipes/new/", recipe_forms.recipe_new, name="recipe_new"),
    path("recipes/read/", recipe_forms.recipe_read, name="recipe_read"),
    path("recipes/<uuid:pk>/", recipes.recipe, name="recipe"),
    path("recipes/<uuid:pk>/edit/", recipe_forms.recipe_edit, name="recipe_edit"),
    path("recipes/<uuid:pk>/archive/", recipes.recipe_archive, name="recipe_archive"),
    path("recipes/<uuid:pk>/export/", recipes.recipe_file, name="recipe_file"),
    path("protocols/", protocols.protocols, name="protocols"),
    path("protocols/import/", protocols.protocol_import, name="protocol_import"),
    path("protocols/<uuid:pk>/", protocols.protocol, name="protocol"),
    path("protocols/<uuid:pk>/<int:number>/", protocols.protocol, name="protocol_version"),
    path(
        "protocols/<uuid:pk>/<int:number>/changes/",
        protocol_changes.protocol_changes,
        name="protocol_changes",
    ),
    path(
        "protocols/<uuid:pk>/<int:number>/export/<slug:kind>/", protocols.protocol_file, name="protocol_file"
    ),
]
