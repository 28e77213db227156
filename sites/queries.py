"""Reads that begin with who is looking."""

from django.contrib.auth.models import AnonymousUser
from django.db.models import QuerySet

from sites.models import Client, Rack, Role, Site, Space, User


def sites_visible_to(user: User | AnonymousUser) -> QuerySet[Site]:
    """Return the sites that `user` may read: all of them for managers and techs, their own for owners."""
    if not isinstance(user, User) or not user.is_active:
        return Site.objects.none()
    if user.role in {Role.MANAGER, Role.TECH}:
        return Site.objects.select_related("client")
    return Site.objects.select_related("client").filter(client__memberships__user=user)


def clients_visible_to(user: User | AnonymousUser) -> QuerySet[Client]:
    """Return the clients that `user` may read."""
    if isinstance(user, User) and user.is_active and user.role in {Role.MANAGER, Role.TECH}:
        return Client.objects.all()
    return Client.objects.filter(sites__in=sites_visible_to(user)).distinct()


def spaces_visible_to(user: User | AnonymousUser) -> QuerySet[Space]:
    """Return the spaces that `user` may read."""
    return Space.objects.filter(site__in=sites_visible_to(user)).select_related("site__client")


def racks_visible_to(user: User | AnonymousUser) -> QuerySet[Rack]:
    """Return the racks that `user` may read."""
    return Rack.objects.filter(site__in=sites_visible_to(user)).select_related("site__client", "space")


def site_by_code(code: str) -> Site:
    """Return a site for a command, which nobody signed in to.

    Raises ValueError when there is none.
    """
    site = Site.objects.select_related("client").filter(code=code).first()
    if site is None:
        raise ValueError(f"there is no site {code!r}: give the short code of a site in the register")
    return site
