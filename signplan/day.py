"""The day: holds of one or several jobs on one machine, never split."""
