"""HTTP: operations, problems, and the document that describes both."""
