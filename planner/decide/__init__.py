"""Questions asked of plans: does it pay back, from how many, made or bought, how paid for."""
