"""The practice: its settings and its people."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
