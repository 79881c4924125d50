"""Worked routines: students of our own invention, a day each, and the plan as text beside the request."""
