"""The joint fit of everything that one picture shows, and the covariance that comes with it."""
