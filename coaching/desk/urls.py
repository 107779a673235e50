"""The desk's pages: the way in, the board, the client's own pages, links in mail."""

from django.urls import path

from coaching.desk.views import house

urlpatterns = [
    path("", house.home, name="home"),
    path("components/", house.components, name="components"),
    path("alive/", house.alive, name="alive"),
]
