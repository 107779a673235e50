"""The book and the kitchen: foods, recipes, protocols."""

from django.urls import path

from plans.views import (
    draft_parts,
    drafts,
    food_pages,
    foods,
    protocol_changes,
    protocols,
    recipe_forms,
    recipes,
)

urlpatterns = [
    path("foods/", foods.foods, name="foods"),
    path("foods/import/", foods.foods_import, name="foods_import"),
    path("foods/export/<slug:kind>/", foods.foods_file, name="foods_file"),
    path("foods/new/", food_pages.food_new, name="food_new"),
    path("foods/<uuid:pk>/", food_pages.food, name="food"),
    path("foods/<uuid:pk>/edit/", food_pages.food_edit, name="food_edit"),
    path("foods/<uuid:pk>/remove/", food_pages.food_remove, name="food_remove"),
    path("recipes/", recipes.recipes, name="recipes"),
    path("recipes/import/", recipes.recipes_import, name="recipes_import"),
    path("recipes/export/<slug:kind>/", recipes.recipes_file, name="recipes_file"),
    path("recipes/new/", recipe_forms.recipe_new, name="recipe_new"),
    path("recipes/read/", recipe_forms.recipe_read, name="recipe_read"),
    path("recipes/lines/", recipe_forms.recipe_lines, name="recipe_lines"),
    path("recipes/preview/", recipe_forms.recipe_preview, name="recipe_preview"),
    path("recipes/<uuid:pk>/", recipes.recipe, name="recipe"),
    path("recipes/<uuid:pk>/edit/", recipe_forms.recipe_edit, name="recipe_edit"),
    path("recipes/<uuid:pk>/photo/", recipes.recipe_photo, name="recipe_photo"),
    path("recipes/<uuid:pk>/archive/", recipes.recipe_archive, name="recipe_archive"),
    path("recipes/<uuid:pk>/export/", recipes.recipe_file, name="recipe_file"),
    path("protocols/", protocols.protocols, name="protocols"),
    path("protocols/new/", draft_parts.protocol_new, name="protocol_new"),
    path("protocols/import/", protocols.protocol_import, name="protocol_import"),
    path("protocols/<uuid:pk>/", protocols.protocol, name="protocol"),
    path("protocols/<uuid:pk>/<int:number>/", protocols.protocol, name="protocol_version"),
    path("protocols/<uuid:pk>/draft/", drafts.draft, name="draft"),
    path("protocols/<uuid:pk>/draft/begin/", drafts.draft_begin, name="draft_begin"),
    path("protocols/<uuid:pk>/draft/panel/", drafts.draft_panel, name="draft_panel"),
    path("protocols/<uuid:pk>/draft/edit/", drafts.draft_edit, name="draft_edit"),
    path("protocols/<uuid:pk>/draft/gaps/", drafts.draft_gaps, name="draft_gaps"),
    path("protocols/<uuid:pk>/draft/changes/", drafts.draft_changes, name="draft_changes"),
    path("protocols/<uuid:pk>/draft/publish/", drafts.draft_publish, name="draft_publish"),
    path("protocols/<uuid:pk>/draft/discard/", drafts.draft_discard, name="draft_discard"),
    path("protocols/<uuid:pk>/draft/parts/", draft_parts.draft_parts, name="draft_parts"),
    path(
        "protocols/<uuid:pk>/draft/parts/step/<slug:way>/",
        draft_parts.draft_parts_step,
        name="draft_parts_step",
    ),
    path("protocols/<uuid:pk>/draft/parts/head/", draft_parts.draft_head, name="draft_head"),
    path("protocols/<uuid:pk>/draft/parts/<slug:noun>/new/", draft_parts.draft_part, name="draft_part_new"),
    path(
        "protocols/<uuid:pk>/draft/parts/<slug:noun>/<int:place>/",
        draft_parts.draft_part,
        name="draft_part_edit",
    ),
    path(
        "protocols/<uuid:pk>/draft/parts/<slug:noun>/<int:place>/move/<slug:way>/",
        draft_parts.draft_part_move,
        name="draft_part_move",
    ),
    path(
        "protocols/<uuid:pk>/draft/parts/<slug:noun>/<int:place>/remove/",
        draft_parts.draft_part_remove,
        name="draft_part_remove",
    ),
    path(
        "protocols/<uuid:pk>/<int:number>/changes/",
        protocol_changes.protocol_changes,
        name="protocol_changes",
    ),
    path(
        "protocols/<uuid:pk>/<int:number>/export/<slug:kind>/", protocols.protocol_file, name="protocol_file"
    ),
]
