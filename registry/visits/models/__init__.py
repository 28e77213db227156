"""Visit plans, visits with their tasks and findings, and service calls."""

from registry.visits.models.calendar import CalendarFeed, Reminder
from registry.visits.models.call import Cause, CausedBy, Mechanism, ServiceCall
from registry.visits.models.call_reading import CallReading
from registry.visits.models.finding import Finding, FollowUp, Severity
from registry.visits.models.guest import VisitGuestLink
from registry.visits.models.kinds import TaskKind
from registry.visits.models.note import CallNote
from registry.visits.models.owners_report import OwnersReport
from registry.visits.models.plan import Counting, Holiday, MovedDate, PlanTask, SiteHours, VisitPlan
from registry.visits.models.visit import Outcome, Visit, VisitKind
from registry.visits.models.work import Addendum, PartUsed, TaskResult, VisitPhoto, VisitReading, VisitTask

__all__ = [
    "Addendum",
    "CalendarFeed",
    "CallNote",
    "CallReading",
    "Cause",
    "CausedBy",
    "Counting",
    "Finding",
    "FollowUp",
    "Holiday",
    "Mechanism",
    "MovedDate",
    "Outcome",
    "OwnersReport",
    "PartUsed",
    "PlanTask",
    "Reminder",
    "ServiceCall",
    "Severity",
    "SiteHours",
    "TaskKind",
    "TaskResult",
    "Visit",
    "VisitGuestLink",
    "VisitKind",
    "VisitPhoto",
    "VisitPlan",
    "VisitReading",
    "VisitTask",
]
