"""What could go wrong: many cases of a plan at once, and what they say."""
