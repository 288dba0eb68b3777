"""Between the book and the planner: searches, the plan that stands, pins and trials."""
