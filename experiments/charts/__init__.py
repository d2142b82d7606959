"""Pictures for a coach. Every function takes data and `ax=None` and returns matplotlib axes."""
