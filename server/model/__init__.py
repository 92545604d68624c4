"""The moisture inside every lot, as a fold over stored air and the journal."""
