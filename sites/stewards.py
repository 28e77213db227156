"""The admin site for stewards: superusers, nobody else. Most tables are there to be read; the pages know the rules."""

from typing import TYPE_CHECKING, Any

from django.contrib import admin
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest
from django.http.response import HttpResponseRedirectBase
from django.shortcuts import redirect
from django.urls import reverse
from simple_history.admin import SimpleHistoryAdmin

if TYPE_CHECKING:
    ModelAdmin = admin.ModelAdmin[Any]
else:
    ModelAdmin = admin.ModelAdmin


class StewardSite(admin.AdminSite):
    """Lets superusers in."""

    site_header = "Evenkeel for stewards"
    site_title = "Evenkeel"
    index_title = "Tables"

    def has_permission(self, request: HttpRequest) -> bool:
        """Return whether a superuser is asking; staff without that would see every client's rows."""
        return bool(request.user.is_active and request.user.is_superuser)

    def login(self, request: HttpRequest, extra_context: Any = None) -> HttpResponseRedirectBase:
        """Lead to the one door there is, with its throttle and its second factor."""
        return redirect_to_login(request.GET.get("next", reverse("admin:index")))

    def logout(self, request: HttpRequest, extra_context: Any = None) -> HttpResponseRedirectBase:  # type: ignore[override]
        """Leave by the same door."""
        return redirect("sign-out", preserve_request=True)

    def password_change(self, request: HttpRequest, extra_context: Any = None) -> HttpResponseRedirectBase:  # type: ignore[override]
        """Lead to the page that everybody uses."""
        return redirect("password-change")


stewards = StewardSite(name="admin")


class Edited(SimpleHistoryAdmin):  # type: ignore[misc]
    """A table that stewards may edit; every change is in its history."""

    list_per_page = 50


class Removable(Edited):
    """A table that stewards read, and from which they take what was recorded by mistake; pages change it."""

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Refuse: checks and verdicts belong to the pages' actions."""
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Refuse: checks and verdicts belong to the pages' actions."""
        return False


class ReadOnly(ModelAdmin):
    """A table that is only read: facts, and what only an action may write."""

    list_per_page = 50

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Refuse."""
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Refuse."""
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Refuse."""
        return False
