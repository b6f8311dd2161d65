"""Design studies: many designs of a case, computed in parallel and compared."""
