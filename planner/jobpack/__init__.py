"""Step 8, job pack: one file for each person who needs one."""
