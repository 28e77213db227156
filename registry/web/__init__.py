"""HTTP for people: pages, forms, lists, and nothing that computes."""
