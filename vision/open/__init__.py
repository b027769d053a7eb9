"""Files become upright pixels and exact timestamps here, and nowhere else."""
