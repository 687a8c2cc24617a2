"""What things are: frozen dataclasses that check themselves. Imports nothing of the other rooms."""
