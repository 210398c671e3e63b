"""What carries the base, and what the errors of the stacks do to the furniture."""
