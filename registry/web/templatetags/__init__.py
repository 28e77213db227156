"""Tags and filters that every template may use."""
