"""Stewards' tables of plans, visits, findings and calls: all read only; pages and their actions know the rules."""

from django.apps import apps
from django.db.models import FileField
from simple_history.models import HistoricalChanges

from sites.stewards import ReadOnly, stewards


class OfVisits(ReadOnly):
    """Any table of visits. Its files are left to the pages that know who may look."""

    list_select_related = True


for model in apps.get_app_config("visits").get_models():
    if not issubclass(model, HistoricalChanges):
        files = tuple(field.name for field in model._meta.fields if isinstance(field, FileField))
        stewards.register(model, type(f"{model.__name__}Table", (OfVisits,), {"exclude": files}))
