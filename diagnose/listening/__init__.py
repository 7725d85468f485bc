"""From a rider's own words to complaints."""
