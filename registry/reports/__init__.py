"""Door cards, labels and sheets: plain data, then PDF."""
