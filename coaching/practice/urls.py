"""The practice: its settings and its people."""

from django.urls import path

from coaching.practice import views

urlpatterns = [
    path("", views.practice, name="practice"),
    path("edit/", views.practice_edit, name="practice_edit"),
    path("set-up/", views.practice_set_up, name="practice_set_up"),
    path("people/", views.people, name="people"),
]
