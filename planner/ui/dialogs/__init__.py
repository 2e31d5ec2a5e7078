"""Dialogs: what is asked or told beside the work: import, settings, keys, guide."""
