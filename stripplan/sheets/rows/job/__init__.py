"""What is said of a job as a whole, as rows: totals and proof, what it rests on, what it costs, others beside it."""
