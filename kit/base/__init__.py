"""What is to be built: runs, supports, datum, stacks, screws and cutting."""
