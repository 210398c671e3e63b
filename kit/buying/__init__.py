"""What has to be bought: the list of the plan, and the one that suffices on most floors."""
