"""What surrounds the fences, and what that means for them: boundary, water, services, trees, paddocks, permits."""
