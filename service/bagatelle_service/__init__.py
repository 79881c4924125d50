"""The HTTP API of Bagatelle. `app.create_app` is the only place that knows every part of it."""
