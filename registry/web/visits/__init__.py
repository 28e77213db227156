"""Pages of a visit: the checklist in one hand, findings, photos, parts, closing, and the report."""
