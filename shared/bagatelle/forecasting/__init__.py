"""A stretch of days played through with the engine: what each area would get, with short-day plans and without."""
