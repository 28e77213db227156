"""Who and where: people, clients, sites, spaces and racks."""
