"""Pages of documents, and of where secrets are kept."""
