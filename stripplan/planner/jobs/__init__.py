"""Several jobs planned together: made one, plates shared where that saves, days kept, each with its share."""
