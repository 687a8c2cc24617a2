"""Parts that found no place: put singly where they still go, or shown why they cannot be made."""
