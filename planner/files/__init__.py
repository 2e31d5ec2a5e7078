"""Files: readers and writers of other people's formats, and the job file."""
