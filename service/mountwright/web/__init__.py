"""HTTP: schemas, one module a resource, problems. A route holds no rule."""
