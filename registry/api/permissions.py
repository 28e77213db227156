"""A stranger finds nothing (404, by the queries), a reader who writes is refused (403)."""

from typing import Any

from rest_framework.permissions import SAFE_METHODS, BasePermission
from rest_framework.request import Request

from sites.models import User


class MayReadOrWrite(BasePermission):
    """Signed in; to write, allowed to write. With a row, that is asked after the row was found."""

    message = "This account or token can read, but not change anything."

    def has_permission(self, request: Request, view: Any) -> bool:
        """Let people and programs in; what names no row of its own is asked here already."""
        if not isinstance(request.user, User) or not request.user.is_active:
            return False
        return "pk" in view.kwargs or self.has_object_permission(request, view, None)

    def has_object_permission(self, request: Request, view: Any, row: Any) -> bool:
        """Ask whether it may be changed."""
        return request.method in SAFE_METHODS or bool(request.user.may_write)
