"""What needs somebody now."""
