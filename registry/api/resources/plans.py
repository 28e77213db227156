"""Visit plans, their moved dates, and the days without visits: to be read."""

import django_filters
from django.db.models import Q, QuerySet
from rest_framework import serializers

from registry.api.fields import Reference
from registry.api.filters import FlagFilter, IdFilter, OfSite
from registry.api.rows import Row
from registry.api.views import Resource
from registry.visits.models import Holiday, MovedDate, PlanTask, VisitPlan
from registry.visits.queries import holidays_visible_to, moved_dates_visible_to, visit_plans_visible_to
from sites.models import User
from sites.queries import clients_visible_to, sites_visible_to

CLOCK = "Clock time at the site, for example 08:30:00."


class PlanTaskRow(Row):
    """A task of a plan, with its own interval."""

    class Meta:
        """What, and how often."""

        model = PlanTask
        fields = ("kind", "every_months", "note")
        read_only_fields = fields


class VisitPlanRow(Row):
    """A rule by which visits come due, at one site or at every site of a client."""

    site = Reference(sites_visible_to, read_only=True, help_text="null: every site of the client.")
    client = Reference(clients_visible_to, read_only=True, help_text="null: the plan is of one site.")
    starts_at = serializers.CharField(read_only=True, help_text=CLOCK)
    tech = serializers.CharField(source="tech.__str__", read_only=True, default=None, help_text="null: nobody yet.")
    tasks = PlanTaskRow(many=True, read_only=True)

    class Meta:
        """Everything; `rule` is an RFC 5545 RRULE in the site's time."""

        model = VisitPlan
        fields = (
            "id", "site", "client", "name", "rule", "starts_on", "starts_at", "minutes", "counting", "tech", "notes",
            "ended_on", "tasks",
        )  # fmt: skip
        read_only_fields = fields


class VisitPlanFilter(django_filters.FilterSet):
    """By site and client, and whether they are ended too."""

    site = IdFilter("site_id", method="of_site", label="Id of the site: its own plans, and those of its client.")
    client = IdFilter("client_id", method="of_client", label="Id of the client: its plans, and those of its sites.")
    open = FlagFilter("ended_on", lookup_expr="isnull", label="true: not ended.")

    def of_site(self, rows: QuerySet[VisitPlan], name: str, value: int) -> QuerySet[VisitPlan]:
        """Return the plans that make visits to a site due."""
        return rows.filter(Q(site=value) | Q(client__sites=value))

    def of_client(self, rows: QuerySet[VisitPlan], name: str, value: int) -> QuerySet[VisitPlan]:
        """Return the plans of a client, as a whole or for one site."""
        return rows.filter(Q(client=value) | Q(site__client=value))


class VisitPlans(Resource):
    """Visit plans."""

    serializer_class = VisitPlanRow
    filterset_class = VisitPlanFilter
    search_fields = ("name",)
    orders = ("name", "id")

    def rows(self, user: User) -> QuerySet[VisitPlan]:
        """Return the plans of the reader's sites and clients."""
        return visit_plans_visible_to(user).prefetch_related("tasks")


class MovedDateRow(Row):
    """A date of a plan that is held on another day, or left out."""

    site = Reference(sites_visible_to, read_only=True)
    plan = serializers.IntegerField(source="plan_id", read_only=True, min_value=1)
    starts_at = serializers.CharField(read_only=True, allow_null=True, help_text=f"{CLOCK} null: as in the plan.")

    class Meta:
        """Everything; without `to` the date is left out."""

        model = MovedDate
        fields = ("id", "plan", "site", "date", "to", "starts_at", "reason")
        read_only_fields = fields


class MovedDateFilter(OfSite):
    """By plan too."""

    plan = IdFilter("plan_id", label="Id of the plan.")


class MovedDates(Resource):
    """Moved dates of visit plans."""

    serializer_class = MovedDateRow
    filterset_class = MovedDateFilter
    orders = ("date", "id")

    def rows(self, user: User) -> QuerySet[MovedDate]:
        """Return the moved dates at the reader's sites."""
        return moved_dates_visible_to(user)


class HolidayRow(Row):
    """A day without visits."""

    site = Reference(sites_visible_to, read_only=True, help_text="null: everywhere.")

    class Meta:
        """Everything."""

        model = Holiday
        fields = ("id", "site", "date", "name")
        read_only_fields = fields


class HolidayFilter(django_filters.FilterSet):
    """By site."""

    site = IdFilter("site_id", method="at_site", label="Id of the site: its own days, and those of everywhere.")

    def at_site(self, rows: QuerySet[Holiday], name: str, value: int) -> QuerySet[Holiday]:
        """Return the days that hold at a site."""
        return rows.filter(Q(site=value) | Q(site=None))


class Holidays(Resource):
    """Days without visits, everywhere or at one site."""

    serializer_class = HolidayRow
    filterset_class = HolidayFilter
    search_fields = ("name",)
    orders = ("date", "id")

    def rows(self, user: User) -> QuerySet[Holiday]:
        """Return the days of everywhere and of the reader's sites."""
        return holidays_visible_to(user)
