"""Pictures, tables and sentences; no figure is computed here."""
