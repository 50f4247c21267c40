"""What the user wrote: a scenario file read, checked and typed; nothing is computed here."""
