"""The day: the holds of one job or several on one machine, never split, with their latest starts."""
