"""Pictures of many wheels, measured side by side into one table."""
