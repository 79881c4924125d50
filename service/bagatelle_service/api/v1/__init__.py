"""The operations of version 1, one module a resource."""
