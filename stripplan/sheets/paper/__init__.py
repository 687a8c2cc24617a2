"""What all paper is set with: canvas, letters, paragraphs, boxes dealt out to pages, the stamp on what was not
checked."""
