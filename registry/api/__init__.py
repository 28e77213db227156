"""The register for other programs: JSON over HTTP, beside the pages and through the same queries and actions."""
