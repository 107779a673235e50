"""The book and the kitchen: foods, recipes, protocols."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
