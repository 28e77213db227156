"""Visit plans, the calendar of visits, days without visits, and calendar feeds."""
