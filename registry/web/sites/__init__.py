"""Clients, sites, spaces and racks."""
