"""Work on the bench: jobs with their time, tools and cautions, their order, and the care of bearings."""
