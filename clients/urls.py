"""People: new clients, households, check-ins, weeks, packets."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
