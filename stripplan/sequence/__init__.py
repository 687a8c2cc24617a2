"""In what order: sibling order, datum edges, order of work, and what each set-up costs."""
