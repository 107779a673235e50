from django.apps import AppConfig


class DeskConfig(AppConfig):
    name = "coaching.desk"
    label = "desk"
