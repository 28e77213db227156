"""Reads that begin with who is looking."""

from django.contrib.auth.models import AnonymousUser
from django.db.models import Q, QuerySet
from django.utils import timezone

from sites.models import AccountEvent, Client, Membership, Rack, Role, SignIn, Site, Space, User


def sites_visible_to(user: User | AnonymousUser) -> QuerySet[Site]:
    """Return the sites that `user` may read: all of them for managers and techs, their own for owners."""
    if not isinstance(user, User) or not user.is_active:
        return Site.objects.none()
    if user.sees_every_client:
        return Site.objects.select_related("client")
    # Not by way of the client's own table: each table more lets planners give up ordering the joins of what asks this.
    theirs = Membership.objects.filter(user=user).values("client")
    return Site.objects.select_related("client").filter(client__in=theirs)


def at_sites_of(user: User | AnonymousUser, site: str = "site") -> Q:
    """Return the condition that rows belong to a site that `user` may read; `site` is the way there.

    Who sees every client isn't asked at all: to look every row's site up costs more than all else about a long list.
    """
    if isinstance(user, User) and user.sees_every_client:
        return Q()
    return Q((f"{site}__in", sites_visible_to(user)))


def clients_visible_to(user: User | AnonymousUser) -> QuerySet[Client]:
    """Return the clients that `user` may read."""
    if isinstance(user, User) and user.sees_every_client:
        return Client.objects.all()
    return Client.objects.filter(sites__in=sites_visible_to(user)).distinct()


def spaces_visible_to(user: User | AnonymousUser) -> QuerySet[Space]:
    """Return the spaces that `user` may read."""
    return Space.objects.filter(at_sites_of(user)).select_related("site__client")


def racks_visible_to(user: User | AnonymousUser) -> QuerySet[Rack]:
    """Return the racks that `user` may read."""
    return Rack.objects.filter(at_sites_of(user)).select_related("site__client", "space")


def site_by_code(code: str) -> Site:
    """Return a site for a command, which nobody signed in to.

    Raises ValueError when there is none.
    """
    site = Site.objects.select_related("client").filter(code=code).first()
    if site is None:
        raise ValueError(f"there is no site {code!r}: give the short code of a site in the register")
    return site


def people_visible_to(user: User) -> QuerySet[User]:
    """Return every person (no program) for who manages people, and only oneself for everybody else."""
    if not user.manages_people:
        return User.objects.filter(pk=user.pk)
    return User.objects.exclude(role=Role.PROGRAM)


def people_changeable_by(user: User) -> QuerySet[User]:
    """Return the people whose account `user` may change: stewards only by stewards, or a manager could become one."""
    people = people_visible_to(user) if user.manages_people else User.objects.none()
    return people if user.is_superuser else people.exclude(is_superuser=True)


def sign_ins_visible_to(user: User) -> QuerySet[SignIn]:
    """Return the sign-ins that last: everybody's that `user` may see."""
    return SignIn.objects.filter(user__in=people_visible_to(user), expire_date__gt=timezone.now())


def account_events_visible_to(user: User) -> QuerySet[AccountEvent]:
    """Return what happened to the accounts that `user` may see, newest first."""
    return AccountEvent.objects.filter(user__in=people_visible_to(user)).select_related("user", "by")


def person_signing_in(pk: int) -> User | None:
    """Return who gave the right password a moment ago, if they may still come in."""
    return User.objects.filter(pk=pk, is_active=True).first()
