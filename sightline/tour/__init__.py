"""Many venues, scenes and beats in one table: on this machine's cores, or on a cluster."""
