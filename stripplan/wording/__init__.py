"""Words: quantities as people write and read them, and messages as sentences in a person's units. Imports no other
room.
"""
