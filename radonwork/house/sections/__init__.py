"""The sections of a record, by subject."""
