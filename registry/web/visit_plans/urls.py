"""Addresses of visit plans, of the calendar of visits, and of visits before they are begun."""

from datetime import date

from django.urls import path, register_converter

from registry.web.visit_plans import day_views, feed_views, plan_views, views, visit_views


class DayConverter:
    """A date in an address: 2026-12-24."""

    regex = r"\d{4}-\d{2}-\d{2}"

    def to_python(self, value: str) -> date:
        """Read it; a ValueError is a 404."""
        return date.fromisoformat(value)

    def to_url(self, value: date) -> str:
        """Write it."""
        return value.isoformat()


register_converter(DayConverter, "day")

PLAN = "visit-plans/<int:pk>/"
AT = f"{PLAN}sites/<slug:code>/<day:day>/"

urlpatterns = [
    path("visits/", views.visits, name="visits"),
    path("visits/<int:pk>/move/", visit_views.visit_move, name="visit-move"),
    path("visits/<int:pk>/call-off/", visit_views.visit_call_off, name="visit-call-off"),
    path("sites/<slug:code>/visits/new/", visit_views.visit_new, name="visit-new"),
    path("sites/<slug:code>/visit-plans/new/", plan_views.site_plan_new, name="site-plan-new"),
    path("sites/<slug:code>/visit-plans/preview/", plan_views.preview, name="plan-preview"),
    path("sites/<slug:code>/hours/", day_views.site_hours, name="site-hours"),
    path("clients/<int:pk>/visit-plans/new/", plan_views.client_plan_new, name="client-plan-new"),
    path(PLAN, plan_views.plan, name="visit-plan"),
    path(f"{PLAN}edit/", plan_views.plan_edit, name="visit-plan-edit"),
    path(f"{PLAN}end/", plan_views.plan_end, name="visit-plan-end"),
    path(f"{AT}schedule/", visit_views.date_schedule, name="plan-date-schedule"),
    path(f"{AT}move/", visit_views.date_move, name="plan-date-move"),
    path("moved-dates/<int:pk>/put-back/", visit_views.date_put_back, name="plan-date-put-back"),
    path("holidays/", day_views.holidays, name="holidays"),
    path("holidays/<int:pk>/remove/", day_views.holiday_remove, name="holiday-remove"),
    path("calendar/", feed_views.feeds, name="calendar-feeds"),
    path("calendar/feeds/<int:pk>/revoke/", feed_views.feed_revoke, name="calendar-feed-revoke"),
    path("calendar/<str:token>.ics", feed_views.feed, name="calendar-feed"),
]
